"""Bodies of the Breeding API: arrays and objects, numbers with the digits that were sent."""

from collections.abc import Mapping
from typing import IO, Any

from rest_framework.exceptions import ParseError
from rest_framework.parsers import BaseParser

from api.parsers import read_as
from inventory.importing.words import json_value

LARGEST = 4 * 1024 * 1024  # bytes: some thousands of observations
_WANTED = "what the standard names for this address, an array or an object"


class AnyJSON(BaseParser):
    """One JSON array or object as UTF-8."""

    media_type = "application/json"

    def parse(
        self,
        stream: IO[Any],
        media_type: str | None = None,  # noqa: ARG002 - the framework's signature
        parser_context: Mapping[str, Any] | None = None,  # noqa: ARG002 - the framework's signature
    ) -> Any:
        """Read the body.

        Raises:
            ParseError: it is not JSON, or too large.
        """
        sent = stream.read(LARGEST + 1)
        if len(sent) > LARGEST:
            raise ParseError(f"The body is larger than {LARGEST:,} bytes. Send it in parts.")
        return read_as(sent, lambda text: json_value(text, _WANTED), "Send JSON as UTF-8.")
