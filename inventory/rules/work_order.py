"""The order of a day on the line: lots of a line together, from light to dark or from dark to light."""

from collections.abc import Iterable
from dataclasses import dataclass

from inventory.rules.shades import shade, shows_in


@dataclass(frozen=True)
class Waits:
    """A lot that waits to be cleaned.

    Attributes:
        line, market_class: "" for a blend of several.
        mg: what of it is in store [mg].
    """

    lot: str
    line: str
    market_class: str
    mg: int
    places: str = ""
    hold: str = ""


@dataclass(frozen=True)
class Turn:
    """A lot in its turn.

    Attributes:
        needs_clean_out: another line went before it.
        shows: what went before is darker and would show in it.
    """

    waits: Waits
    needs_clean_out: bool
    shows: bool


def work_order(
    waiting: Iterable[Waits], after: tuple[str, str] = ("", ""), *, is_light_first: bool = True
) -> list[Turn]:  # fmt: skip
    """Put lots in order, with one clean-out for each change of line: no order needs fewer.

    Args:
        after: line and class that went over the machines last; ("", "") where nothing did. Of lines equally dark, that
            line comes first.
        is_light_first: from light to dark, so that what is left in the line never shows; else from dark to light.
    """
    sign = 1 if is_light_first else -1
    ordered = sorted(
        waiting,
        key=lambda one: (sign * shade(one.market_class), one.market_class, one.line != after[0], one.line, one.lot),
    )
    turns: list[Turn] = []
    line, market_class = after
    for one in ordered:
        is_other = bool(line or market_class) and (one.line != line or not line)
        turns.append(Turn(one, is_other, is_other and shows_in(market_class, one.market_class)))
        line, market_class = one.line, one.market_class
    return turns
