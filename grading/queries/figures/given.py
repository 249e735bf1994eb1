"""A value that was read, where `finish` has let everything through."""

from typing import TypeVar

T = TypeVar("T")


def given(value: T | None) -> T:
    """Give a value that a finished reading cannot lack."""
    if value is None:
        raise AssertionError("finish() lets nothing unread through")
    return value
