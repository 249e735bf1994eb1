"""What two graders read of the same beans: dots around a diagonal, on which they would lie if both read alike."""

from collections.abc import Sequence
from dataclasses import dataclass

SIDE = 180  # units of the drawing


@dataclass(frozen=True)
class Diagonal:
    """Dots on a square of which both sides run from 0 to `end` [the readings' unit]; y runs down as on a screen."""

    dots: tuple[tuple[float, float], ...]
    end: float


def diagonal(pairs: Sequence[tuple[float, float]]) -> Diagonal:
    """Lay pairs out; the farthest reading stands a tenth before the end.

    Args:
        pairs: (first grader, second grader), 0 or more.
    """
    end = max((value for pair in pairs for value in pair), default=0.0) * 1.1 or 1.0
    return Diagonal(tuple((first / end * SIDE, SIDE - second / end * SIDE) for first, second in pairs), end)
