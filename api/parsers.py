"""Bodies as they are read: JSON exactly, since no float enters the ledger, and the bytes of sheets."""

from collections.abc import Callable, Mapping
from http import HTTPStatus
from typing import IO, Any, TypeVar

from django.core.exceptions import SuspiciousOperation
from rest_framework.exceptions import ParseError
from rest_framework.parsers import BaseParser, MultiPartParser

from api.unusable import Unusable
from inventory.importing.limits import MAX_FILE_BYTES
from inventory.importing.words import LONGEST, json_object
from inventory.rules.mistakes import Mistake, Refused

T = TypeVar("T")
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


class BodyTooLong(Mistake):
    """A body that is longer than what is read at its address."""

    code = "body_too_large"

    def __init__(self, most: int) -> None:
        super().__init__(f"The body has more than the {most:,} bytes that are read here. Send less at once.")


class TooLarge(Unusable):
    """Answered where a body is longer than what is read."""

    status_code = HTTPStatus.REQUEST_ENTITY_TOO_LARGE


class ExactJSON(BaseParser):
    """One JSON object as UTF-8: numbers keep the digits that were sent. A view may take a longer one by `longest`."""

    media_type = "application/json"

    def parse(
        self,
        stream: IO[Any],
        media_type: str | None = None,  # noqa: ARG002 - the framework's signature
        parser_context: Mapping[str, Any] | None = None,
    ) -> dict[str, Any]:
        """Read the body.

        Raises:
            ParseError: it is not one JSON object.
            TooLarge: it is too long.
        """
        most = getattr((parser_context or {}).get("view"), "longest", LONGEST)
        body = _within(stream, most)
        return read_as(body, lambda text: json_object(text, most), "Send one JSON object as UTF-8.")


class Octets(BaseParser):
    """The bytes of a file; its name is a parameter of the address."""

    media_type = "application/octet-stream"

    def parse(
        self,
        stream: IO[Any],
        media_type: str | None = None,  # noqa: ARG002 - the framework's signature
        parser_context: Mapping[str, Any] | None = None,  # noqa: ARG002 - the framework's signature
    ) -> Any:
        """Take them, at most one more than a file may have: its own reader refuses it then."""
        return stream.read(MAX_FILE_BYTES + 1)


class Workbook(Octets):
    """The bytes of a workbook."""

    media_type = XLSX


class CommaText(Octets):
    """The bytes of a sheet of text."""

    media_type = "text/csv"


class Form(MultiPartParser):
    """A form with a file in it."""

    def parse(self, stream: Any, media_type: str | None = None, parser_context: Mapping[str, Any] | None = None) -> Any:
        """Read it.

        Raises:
            ParseError: it breaks off, or holds more fields and files than are read.
        """
        try:
            return super().parse(stream, media_type, parser_context)
        except SuspiciousOperation as error:
            raise ParseError(f"The form cannot be read: {error} Send one file and its kind.") from None


def read_as(body: bytes, read: Callable[[str], T], how: str) -> T:
    """Read a body's text.

    Args:
        read: takes the text, and refuses what it cannot read.
        how: what to send instead of bytes that are no text.

    Raises:
        ParseError: it is no UTF-8, or is refused.
    """
    try:
        return read(body.decode("utf-8-sig"))
    except UnicodeDecodeError:
        raise ParseError(f"The body is not UTF-8 text. {how}") from None
    except Refused as refused:
        raise ParseError(str(refused)) from None


def _within(stream: IO[Any], most: int) -> bytes:
    body: bytes = stream.read(most + 1)
    if len(body) > most:
        raise TooLarge(BodyTooLong(most))
    return body
