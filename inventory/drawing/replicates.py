"""Replicates of one test as dots on a rule: their mean, the spread they may have as a bracket, the limit as a post.

The bracket lies around the middle of the highest and the lowest: where they spread too wide, both stand outside of it.
"""

from collections import Counter
from dataclasses import dataclass
from decimal import Decimal

from hilum.plugins import Replicates

WIDTH, HEIGHT = 500, 56  # units of the drawing
FOOT, STEP = 28, 9  # the rule's height from above, and what dots of one reading stand above each other


@dataclass(frozen=True)
class Dot:
    """One reading [units of the drawing]."""

    x: float
    y: float
    value: Decimal


@dataclass(frozen=True)
class Row:
    """Dots on a rule that runs from `low` to `high` of the readings' unit."""

    dots: tuple[Dot, ...]
    mean_x: float
    bracket_x: float
    bracket_width: float
    post_x: float | None
    low: Decimal
    high: Decimal


def replicate_row(one: Replicates) -> Row:
    """Lay replicates out; the rule reaches a twentieth beyond whatever stands on it.

    Args:
        one: one reading or more.
    """
    half = (one.allowed or Decimal(0)) / 2
    middle = (min(one.values) + max(one.values)) / 2
    marks = [*one.values, middle - half, middle + half, *([one.limit] if one.limit is not None else [])]
    least, most = min(marks), max(marks)
    room = (most - least) / 20 or Decimal(1)
    low, high = least - room, most + room

    def across(value: Decimal) -> float:
        return float((value - low) / (high - low)) * WIDTH

    seen: Counter[Decimal] = Counter()
    dots = []
    for value in one.values:
        dots.append(Dot(across(value), FOOT - STEP * seen[value], value))
        seen[value] += 1
    start = across(middle - half)
    width = across(middle + half) - start if one.allowed is not None else 0.0
    post = None if one.limit is None else across(one.limit)
    return Row(tuple(dots), across(one.mean), start, width, post, low, high)
