"""Requests that cannot be used as they were sent. Apart from `problems`, which needs the framework's views already."""

from collections.abc import Mapping
from http import HTTPStatus
from typing import ClassVar

from django.db import OperationalError
from rest_framework.exceptions import APIException

from inventory.actions.acting import is_collision
from inventory.rules.mistakes import Mistake


class Unusable(APIException):
    """A request that cannot be used as it was sent, with the mistakes in it."""

    status_code = HTTPStatus.BAD_REQUEST
    headers: ClassVar[Mapping[str, str]] = {}  # that go with the answer

    def __init__(self, *mistakes: Mistake) -> None:
        super().__init__(" ".join(mistake.says for mistake in mistakes))
        self.mistakes = mistakes


class Busy(APIException):
    """Books that another act held for longer than a request waits; nothing was done."""

    status_code = HTTPStatus.SERVICE_UNAVAILABLE
    default_detail = (
        "Another act holds the books, such as a long sheet that is being saved. Nothing was done: send the same again "
        "in a while."
    )
    wait = 10  # seconds; the framework tells them as Retry-After


def busy_or(error: Exception) -> Exception:
    """Give what a program is told of an error: that the books are busy, where that is all that was wrong."""
    return Busy() if isinstance(error, OperationalError) and is_collision(error) else error


class NotThere(Unusable):
    """A thing or an address that is not there."""

    status_code = HTTPStatus.NOT_FOUND
