"""A germination test on one rule: its dots, their mean, the allowed spread as a bracket, the threshold as a post."""

from collections.abc import Sequence
from dataclasses import dataclass

WIDTH, HEIGHT = 500, 64  # units of the drawing
STEP = 12  # between dots of one count
DOTS_Y, BRACKET_Y = 40, 52


@dataclass(frozen=True)
class Picture:
    """A test as it is drawn [units].

    Attributes:
        dots: (x, y) of each replicate; equal counts stand above each other.
        bracket: its two ends, around the middle of the highest and the lowest; None where the table has no row.
        first: the per cent at the left end; 100 stands at the right.
    """

    dots: tuple[tuple[float, float], ...]
    mean_x: float
    threshold_x: float
    bracket: tuple[float, float] | None
    first: int


def picture(normal: Sequence[int], mean: float, allowed: int | None, threshold: float) -> Picture:
    """Lay a test out.

    Args:
        normal: seedlings of each replicate of 100, 0 to 100.
        mean: [%].
        allowed: points that they may spread over; None where the table has no row.
        threshold: below it a lot is not planted [%].
    """
    first = max(0, int(min(*normal, threshold) - 5) // 10 * 10)
    seen: dict[int, int] = {}
    dots = []
    for count in normal:
        dots.append((_x(count, first), float(DOTS_Y - STEP * seen.get(count, 0))))
        seen[count] = seen.get(count, 0) + 1
    middle = (max(normal) + min(normal)) / 2
    ends = None if allowed is None else (_x(middle - allowed / 2, first), _x(middle + allowed / 2, first))
    return Picture(tuple(dots), _x(mean, first), _x(threshold, first), ends, first)


def _x(percent: float, first: int) -> float:
    return max(0.0, min(1.0, (percent - first) / (100 - first))) * WIDTH
