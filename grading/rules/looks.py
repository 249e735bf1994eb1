"""Does a lot look like its line: its 100-seed weight against what the line weighed before; a plain comparison."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from itertools import groupby

from inventory.rules.rounding import half_up

# Seasons alone move a line's seed weight by a few per cent of its own; our own bench rule, no source.
FAR = Fraction(8, 100)

# Line -> the sum of what its lots weighed [g], and how many these are.
Pasts = dict[str, tuple[Fraction, int]]


@dataclass(frozen=True)
class Weighed:
    """The mean 100-seed weight of a lot [g], and what the lot is said to be."""

    lot: str
    line: str
    class_name: str
    on: date
    grams: Fraction


@dataclass(frozen=True)
class Look:
    """A lot far from its line's past.

    Attributes:
        weighed: the lot.
        past_g: mean of its line's earlier lots [g].
        looks_like: the line of its class whose past is nearest and near enough; "" where none is.
        like_past_g: that line's past [g].
    """

    weighed: Weighed
    past_g: Fraction
    looks_like: str
    like_past_g: Fraction | None

    @property
    def says(self) -> str:
        """The sentence in the bench's own numbers."""
        grams, past = (_shown(each) for each in (self.weighed.grams, self.past_g))
        says = f"{self.weighed.lot}: 100 seeds weigh {grams} g; {self.weighed.line} weighed {past} g before."
        if self.like_past_g is None:
            return says
        return f"{says} It looks like {self.looks_like} ({_shown(self.like_past_g)} g)."


def strange_looks(weighed: Sequence[Weighed]) -> list[Look]:
    """Find lots whose seed weighs 8 % more or less than their line's earlier lots did.

    Args:
        weighed: all measured lots; only those weighed on earlier days are a line's past.
    """
    looks: dict[int, Look] = {}
    pasts: dict[str, Pasts] = defaultdict(dict)
    in_order = sorted(range(len(weighed)), key=lambda place: weighed[place].on)
    for _day, places in groupby(in_order, key=lambda place: weighed[place].on):
        today = list(places)
        looks |= {place: look for place in today if (look := _look(weighed[place], pasts[weighed[place].class_name]))}
        for place in today:
            _remember(pasts[weighed[place].class_name], weighed[place])
    return [looks[place] for place in sorted(looks)]


def swapped_pairs(looks: Sequence[Look]) -> list[tuple[Look, Look]]:
    """Pair lots of one day that look like each other's line."""
    return [
        (first, second)
        for place, first in enumerate(looks)
        for second in looks[place + 1 :]
        if first.weighed.on == second.weighed.on
        and (first.looks_like, second.looks_like) == (second.weighed.line, first.weighed.line)
    ]


def _look(lot: Weighed, pasts: Pasts) -> Look | None:
    """Compare a lot with its line's past; where it is far off, with the other lines of its class too."""
    own = pasts.get(lot.line)
    past = own[0] / own[1] if own else lot.grams
    if not _is_far(lot.grams, past):
        return None
    means = {line: total / n for line, (total, n) in pasts.items() if line != lot.line}
    near = {line: grams for line, grams in means.items() if not _is_far(lot.grams, grams)}
    like = min(near, key=lambda line: abs(near[line] - lot.grams), default="")
    return Look(lot, past, like, near.get(like))


def _remember(pasts: Pasts, lot: Weighed) -> None:
    total, n = pasts.get(lot.line, (Fraction(0), 0))
    pasts[lot.line] = (total + lot.grams, n + 1)


def _is_far(grams: Fraction, past: Fraction) -> bool:
    return abs(grams - past) > past * FAR


def _shown(grams: Fraction) -> Decimal:
    return half_up(grams, 1)
