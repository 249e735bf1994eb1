"""Losses as columns: months across, machines stacked, what is unaccounted on top in hatch."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

HEIGHT = 200  # units of the highest column
COLUMN, GAP = 64, 16  # units across
THINNEST = 2.0
_SHADES = 4  # fills that black ink can tell apart; machines beyond take them again, and their words


@dataclass(frozen=True)
class Lost:
    """Mass that one set of machines lost in one month.

    Attributes:
        column: the month's place among the columns, from 0.
        mass: at least 0, in any one unit.
        kind: "taken" or "unaccounted".
        words: what it is, with its mass.
        link: where a tap leads.
    """

    column: int
    name: str
    mass: int
    kind: str
    words: str
    link: str = ""


@dataclass(frozen=True)
class Block:
    """A loss as it is drawn [units]; `y` is its upper edge."""

    lost: Lost
    x: int
    y: float
    height: float
    shade: int


@dataclass(frozen=True)
class Columns:
    """All columns, left to right."""

    blocks: tuple[Block, ...]
    labels: tuple[tuple[int, str], ...]  # middle of a column, what stands under it
    shades: tuple[tuple[str, int], ...]  # machine -> its fill
    width: int
    highest: int


def columns(months: Sequence[str], lost: Iterable[Lost]) -> Columns:
    """Stack losses to one scale: machines in the order given, what is unaccounted on top of all of them.

    Args:
        months: what stands under each column.
    """
    listed = [one for one in lost if one.mass > 0]
    names = list(dict.fromkeys(one.name for one in listed))
    shades = {name: index % _SHADES for index, name in enumerate(names)}
    sums = [sum(one.mass for one in listed if one.column == index) for index in range(len(months))]
    highest = max(sums, default=0)
    blocks: list[Block] = []
    tops = dict.fromkeys(range(len(months)), float(HEIGHT))
    for one in sorted(listed, key=lambda one: (one.column, one.kind == "unaccounted", names.index(one.name))):
        height = max(THINNEST, HEIGHT * one.mass / highest)
        tops[one.column] -= height
        blocks.append(Block(one, _x(one.column), tops[one.column], height, shades[one.name]))
    labels = tuple((_x(index) + COLUMN // 2, month) for index, month in enumerate(months))
    return Columns(tuple(blocks), labels, tuple(shades.items()), _x(len(months)), highest)


def _x(column: int) -> int:
    return column * (COLUMN + GAP)
