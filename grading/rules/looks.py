"""Does a lot look like its line: its 100-seed weight against what the line weighed before; a plain comparison."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from inventory.rules.rounding import half_up

# Seasons alone move a line's seed weight by a few per cent of its own; our own bench rule, no source.
FAR = Fraction(8, 100)


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
    looks = []
    for each in weighed:
        pasts = _pasts(weighed, each)
        past = pasts.pop(each.line, None)
        if past is None or not _is_far(each.grams, past):
            continue
        near = {line: grams for line, grams in pasts.items() if not _is_far(each.grams, grams)}
        like = min(near, key=lambda line: abs(near[line] - each.grams), default="")
        looks.append(Look(each, past, like, near.get(like)))
    return looks


def swapped_pairs(looks: Sequence[Look]) -> list[tuple[Look, Look]]:
    """Pair lots of one day that look like each other's line."""
    return [
        (first, second)
        for place, first in enumerate(looks)
        for second in looks[place + 1 :]
        if first.weighed.on == second.weighed.on
        and (first.looks_like, second.looks_like) == (second.weighed.line, first.weighed.line)
    ]


def _pasts(weighed: Sequence[Weighed], lot: Weighed) -> dict[str, Fraction]:
    """What each line of the lot's class weighed on earlier days [g]."""
    earlier: dict[str, list[Fraction]] = {}
    for other in weighed:
        if other.on < lot.on and other.class_name == lot.class_name:
            earlier.setdefault(other.line, []).append(other.grams)
    return {line: sum(grams, Fraction(0)) / len(grams) for line, grams in earlier.items()}


def _is_far(grams: Fraction, past: Fraction) -> bool:
    return abs(grams - past) > past * FAR


def _shown(grams: Fraction) -> Decimal:
    return half_up(grams, 1)
