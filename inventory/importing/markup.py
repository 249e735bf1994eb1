"""Reading XML that came from outside: as a stream, in UTF-8 only, and never with declarations of its own.

A DTD is refused when it begins, before any entity is defined, so nothing can be expanded or fetched.
"""

from collections.abc import Callable, Iterable
from xml.parsers import expat

Started = Callable[[str, dict[str, str]], None]
Ended = Callable[[str], None]
Text = Callable[[str], None]

UTF8_NAMES = ("utf-8", "utf8", "us-ascii", "ascii")
UTF16_STARTS = (b"\xff\xfe", b"\xfe\xff", b"<\x00", b"\x00<")


class DeclaredError(ValueError):
    """The document brings a DTD."""


class OtherCodingError(ValueError):
    """The document is not written in UTF-8; the argument names its coding."""


def local(name: str) -> str:
    """Give an element's name without its prefix: "x:row" -> "row"."""
    return name.rpartition(":")[2]


def new_parser(start: Started) -> expat.XMLParserType:
    """Make a streaming parser that refuses declarations and other codings.

    Args:
        start: called with the local name and attributes of each element.
    """
    parser = expat.ParserCreate()
    parser.buffer_text = True
    parser.StartElementHandler = lambda name, attributes: start(local(name), attributes)
    parser.StartDoctypeDeclHandler = _refuse_declarations
    parser.XmlDeclHandler = _refuse_coding
    return parser


def feed(parser: expat.XMLParserType, chunks: Iterable[bytes]) -> None:
    """Run a parser over the chunks of one document.

    Raises:
        DeclaredError, OtherCodingError: see there.
        ValueError: it is not well formed.
    """
    first = True
    try:
        for chunk in chunks:
            if first and chunk.startswith(UTF16_STARTS):
                raise OtherCodingError("UTF-16")
            first = False
            parser.Parse(chunk, False)  # noqa: FBT003 - the library's own positional flag
        parser.Parse(b"", True)  # noqa: FBT003 - the library's own positional flag
    except expat.ExpatError as error:
        raise ValueError(str(error)) from error


def read_elements(document: bytes, start: Started) -> None:
    """Call `start` for each element of a small document; raises as `feed`."""
    feed(new_parser(start), [document])


def _refuse_declarations(*_: object) -> None:
    raise DeclaredError


def _refuse_coding(_version: str, coding: str | None, _standalone: int) -> None:
    if coding and coding.lower() not in UTF8_NAMES:
        raise OtherCodingError(coding[:40])
