"""The post: a number on a rule that ends at 1.25 of its own limit, so that nearness to the limit can be compared."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from hilum.plugins import Judged

__all__ = ["Judged", "Post", "posts"]

WIDTH = 500  # units of the drawing; the post stands at 400
REACH = 1.25  # the rule's end, in limits
POST_X = WIDTH / REACH


@dataclass(frozen=True)
class Post:
    """A judged number as it is drawn [units of the drawing]; a dot beyond the end is an arrow at the end."""

    judged: Judged
    dot_x: float
    line_x: float
    line_width: float
    is_beyond: bool
    is_met: bool

    @property
    def has_line(self) -> bool:
        """Whether its likely range is drawn."""
        return self.line_width > 0


def posts(judged: Iterable[Judged]) -> list[Post]:
    """Lay numbers out on one rule each, the one nearest to its limit, or farthest beyond it, first.

    Args:
        judged: numbers without a limit stand last and have no post.
    """
    return sorted(map(_post, judged), key=lambda post: (post.judged.limit is None, -_nearness(post.judged)))


def _post(one: Judged) -> Post:
    if one.limit is None or one.limit <= 0:
        return Post(one, 0.0, 0.0, 0.0, is_beyond=False, is_met=True)
    dot = _x(one.reading, one.limit)
    low, high = (None if end is None else _x(end, one.limit) for end in (one.low, one.high))
    start = min(WIDTH, low) if low is not None else 0.0
    width = min(WIDTH, high) - start if high is not None and low is not None else 0.0
    is_met = one.reading >= one.limit if one.is_least else one.reading <= one.limit
    return Post(one, min(WIDTH, dot), start, max(0.0, width), is_beyond=dot > WIDTH, is_met=is_met)


def _x(value: Decimal, limit: Decimal) -> float:
    return float(value / limit) * POST_X


def _nearness(one: Judged) -> float:
    if one.limit is None or one.limit <= 0:
        return 0.0
    share = float(one.reading / one.limit)
    return 1 / share if one.is_least and share else share
