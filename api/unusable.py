"""Requests that cannot be used as they were sent. Apart from `problems`, which needs the framework's views already."""

from http import HTTPStatus

from rest_framework.exceptions import APIException

from inventory.rules.mistakes import Mistake


class Unusable(APIException):
    """A request that cannot be used as it was sent, with the mistakes in it."""

    status_code = HTTPStatus.BAD_REQUEST

    def __init__(self, *mistakes: Mistake) -> None:
        super().__init__(" ".join(mistake.says for mistake in mistakes))
        self.mistakes = mistakes


class NotThere(Unusable):
    """A thing or an address that is not there."""

    status_code = HTTPStatus.NOT_FOUND
