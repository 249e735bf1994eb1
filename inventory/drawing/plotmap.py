"""A trial as a map: a row of plots for each replicate, in, weighed in the field, or still out."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from itertools import groupby

from inventory.drawing.grid import Grid, grid

STEP = 40  # units of the drawing; a phone shows eight plots beside each other at this size
MOST_COLUMNS = 24


class Harvest(StrEnum):
    """How far a plot's seed has come."""

    IN = "in"
    WEIGHED = "weighed"
    OUT = "out"


MARKS = {Harvest.IN: "✓", Harvest.WEIGHED: "◐", Harvest.OUT: "○"}


@dataclass(frozen=True)
class MapPlot:
    """A plot on the map.

    Attributes:
        trial: heading of its group; "" for blocks.
        rep, position: row and place in it; 0 where nobody knows.
    """

    code: str
    trial: str
    rep: int
    position: int
    harvest: Harvest

    @property
    def mark(self) -> str:
        """Its mark, which stands beside its word."""
        return MARKS[self.harvest]

    @property
    def short(self) -> str:
        """What tells it from its neighbours: the last part of its code."""
        return self.code.rpartition("-")[2]


def plotmap(plots: Iterable[MapPlot], *, rep_words: str = "rep", block_words: str = "blocks") -> Grid[MapPlot]:
    """Lay plots out by trial and replicate, in the order of their positions.

    Args:
        rep_words, block_words: words of the headings, in the language of the page.
    """
    ordered = sorted(plots, key=lambda plot: (not plot.trial, plot.trial, plot.rep, plot.position, plot.code))
    rows = [
        (_heading(trial, rep, rep_words, block_words), list(found))
        for (trial, rep), found in groupby(ordered, key=lambda plot: (plot.trial, plot.rep))
    ]
    widest = max((len(found) for _name, found in rows), default=1)
    return grid(rows, columns=min(MOST_COLUMNS, max(1, widest)), step=STEP)


def _heading(trial: str, rep: int, rep_words: str, block_words: str) -> str:
    name = trial or block_words
    return f"{name}, {rep_words} {rep}" if rep else name
