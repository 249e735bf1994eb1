"""JSON read exactly: numbers keep the digits that were sent, since no float enters the ledger."""

from collections.abc import Mapping
from typing import IO, Any

from rest_framework.exceptions import ParseError
from rest_framework.parsers import BaseParser

from inventory.importing.words import LONGEST, json_object
from inventory.rules.mistakes import Refused


class ExactJSON(BaseParser):
    """One JSON object as UTF-8."""

    media_type = "application/json"

    def parse(
        self,
        stream: IO[Any],
        media_type: str | None = None,  # noqa: ARG002 - the framework's signature
        parser_context: Mapping[str, Any] | None = None,  # noqa: ARG002 - the framework's signature
    ) -> dict[str, Any]:
        """Read the body.

        Raises:
            ParseError: it is not one JSON object.
        """
        try:
            return json_object(stream.read(4 * LONGEST + 1).decode("utf-8-sig"))
        except UnicodeDecodeError:
            raise ParseError("The body is not UTF-8 text. Send one JSON object as UTF-8.") from None
        except Refused as refused:
            raise ParseError(str(refused)) from None
