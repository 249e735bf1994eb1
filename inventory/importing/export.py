"""Writing people's words into sheets without letting them act there.

A spreadsheet program takes text that starts with = + - @ for a formula, also after a tab or a line break, and also
when full-width signs are used. Such text gets an apostrophe before it, as OWASP ASVS 5.0, 1.2.10 asks.
"""

import re
from collections.abc import Iterable
from typing import TypeVar

T = TypeVar("T")

STARTS = tuple("=+-@\t\r\n＝＋－＠")
PLAIN_NUMBER = re.compile(r"[+-]?\d+([.,]\d+)?\Z", re.ASCII)

# XML 1.0, 5th edition, 2008, production 2: what is no character of it.
_NO_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]")


def workbook_text(text: str) -> str:
    """Write what XML 1.0 cannot hold (control signs) as the sign for "unknown"."""
    return _NO_XML.sub("\ufffd", text)


def safe_cell(value: T) -> T | str:
    """Give a value that a spreadsheet program shows and never runs; numbers, dates and None are untouched.

    Args:
        value: of one cell; text that is a plain number ("-0.4") is harmless and stays as it is.
    """
    if isinstance(value, str) and value.lstrip(" ").startswith(STARTS) and not PLAIN_NUMBER.match(value):
        return f"'{value}"
    return value


def safe_row(values: Iterable[T]) -> list[T | str]:
    """Make each cell of a row safe."""
    return [safe_cell(value) for value in values]
