"""Squares in rows under headings: where each stands, so that a page and a file draw the same picture."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

T = TypeVar("T")
HEAD = 24  # units of the drawing for a heading above its rows


@dataclass(frozen=True)
class Square(Generic[T]):
    """A thing with its left upper corner [units of the drawing]."""

    x: int
    y: int
    thing: T


@dataclass(frozen=True)
class Group(Generic[T]):
    """A heading, where its line of words stands, and its squares."""

    name: str
    y: int
    squares: tuple[Square[T], ...]


@dataclass(frozen=True)
class Grid(Generic[T]):
    """All groups under each other, with the size of the whole [units of the drawing]."""

    groups: tuple[Group[T], ...]
    width: int
    height: int


def grid(groups: Sequence[tuple[str, Sequence[T]]], *, columns: int, step: int) -> Grid[T]:
    """Lay groups out under each other; a row that is full goes on below.

    Args:
        groups: heading and things of each; a group without things is left out.
        columns: squares in a row, 1 or more.
        step: from one square to the next, its gap included [units of the drawing].
    """
    laid: list[Group[T]] = []
    y, widest = 0, 0
    for name, things in groups:
        if not things:
            continue
        top = y + HEAD
        squares = tuple(
            Square((index % columns) * step, top + (index // columns) * step, thing)
            for index, thing in enumerate(things)
        )
        laid.append(Group(name, y + HEAD - 8, squares))
        widest = max(widest, min(columns, len(things)))
        y = squares[-1].y + step
    return Grid(tuple(laid), widest * step, y)
