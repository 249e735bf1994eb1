"""Requests that cannot be used as they were sent. Apart from `problems`, which needs the framework's views already."""

from collections.abc import Mapping
from http import HTTPStatus
from typing import ClassVar

from rest_framework.exceptions import APIException

from inventory.rules.mistakes import Mistake


class Unusable(APIException):
    """A request that cannot be used as it was sent, with the mistakes in it."""

    status_code = HTTPStatus.BAD_REQUEST
    headers: ClassVar[Mapping[str, str]] = {}  # that go with the answer

    def __init__(self, *mistakes: Mistake) -> None:
        super().__init__(" ".join(mistake.says for mistake in mistakes))
        self.mistakes = mistakes


class NotThere(Unusable):
    """A thing or an address that is not there."""

    status_code = HTTPStatus.NOT_FOUND
