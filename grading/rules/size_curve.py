"""A size curve: what stays on each screen and passes it, sizes read off it, what another screen would take off.

All of it is exact; a size between two screens is interpolated straight between their openings (linear, our default).
Nothing is extrapolated: a size beyond the screens is not reached, and None says so.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from itertools import pairwise

from grading.rules.screens import Screen

HUNDRED = Fraction(100)
NEAR = Fraction(5, 100)  # of the middle size, for our uniformity; ours, no source


@dataclass(frozen=True)
class SizeStack:
    """A stack of screens with what stayed on each.

    Attributes:
        screens: the widest first, the pan last.
        amounts: what stayed on each [g], or [%].
    """

    screens: tuple[Screen, ...]
    amounts: tuple[Fraction, ...]

    @property
    def total(self) -> Fraction:
        """All that stayed on screens and pan, over 0 [as the amounts]."""
        return sum(self.amounts, Fraction(0))

    @property
    def retained_pct(self) -> tuple[Fraction, ...]:
        """What stayed on each screen and in the pan [%]."""
        total = self.total
        return tuple(amount / total * HUNDRED for amount in self.amounts)

    @property
    def passing_pct(self) -> tuple[Fraction, ...]:
        """What passed each screen, without the pan [%]."""
        passed, left = [], HUNDRED
        for retained in self.retained_pct[:-1]:
            left -= retained
            passed.append(left)
        return tuple(passed)

    @property
    def shape(self) -> str:
        """The shape of the openings, "" where nobody said it."""
        return next((screen.shape for screen in self.screens if screen.shape), "")

    @cached_property
    def points(self) -> tuple[tuple[Fraction, Fraction], ...]:
        """Opening [mm] and what passed it [%], the narrowest first."""
        named = zip(self.screens[:-1], self.passing_pct, strict=True)
        return tuple(reversed([(screen.mm, passed) for screen, passed in named]))


@dataclass(frozen=True, slots=True)
class Bracket:
    """The two screens between which a size lies.

    Attributes:
        below, above: openings [mm].
        passing_below, passing_above: what passes them [%].
    """

    below: Fraction
    above: Fraction
    passing_below: Fraction
    passing_above: Fraction


def bracket_of(stack: SizeStack, percent: Fraction) -> Bracket | None:
    """Find the two screens between which so much passes.

    Args:
        percent: what passes, 0 to 100 [%].

    Returns:
        The narrowest such pair; None where the stack does not reach so far.
    """
    points = stack.points
    for (below, low), (above, high) in pairwise(points):
        if low <= percent <= high:
            return Bracket(below, above, low, high)
    return None


def size_passing(stack: SizeStack, percent: Fraction) -> Fraction | None:
    """Read off the size that so much of the seed is smaller than (D50 is 50 %), straight between two screens.

    Args:
        percent: what passes, by weight, 0 to 100 [%].

    Returns:
        The size [mm]; None where it is not reached within the stack. Where the curve is flat, its lower end.
    """
    found = bracket_of(stack, percent)
    if found is None:
        return None
    rise = found.passing_above - found.passing_below
    share = (percent - found.passing_below) / rise if rise else Fraction(0)
    return found.below + share * (found.above - found.below)


def passing_at(stack: SizeStack, mm: Fraction) -> Fraction | None:
    """Read off how much passes an opening, straight between the two screens around it.

    Args:
        mm: the opening [mm].

    Returns:
        By weight [%]; None beyond the widest and the narrowest screen.
    """
    points = stack.points
    if len(points) == 1 and points[0][0] == mm:
        return points[0][1]
    for (below, low), (above, high) in pairwise(points):
        if below <= mm <= above:
            return low + (mm - below) / (above - below) * (high - low)
    return None


def retained_between(stack: SizeStack, wide: Fraction, narrow: Fraction) -> Fraction | None:
    """Work out what passes the wide opening and stays on the narrow one: the trade's uniformity [%].

    Args:
        wide, narrow: openings [mm].

    Returns:
        By weight [%]; None where one of them lies outside of the stack.
    """
    ends = [passing_at(stack, mm) for mm in (wide, narrow)]
    return None if ends[0] is None or ends[1] is None else ends[0] - ends[1]


def uniformity(stack: SizeStack) -> Fraction | None:
    """Work out our uniformity: the share of the seed by weight whose size is within 5 % of the middle size D50.

    Returns:
        Read off the curve [%]; None where it is not reached within the stack. Ours, no source.
    """
    middle = size_passing(stack, Fraction(50))
    return None if middle is None else retained_between(stack, middle * (1 + NEAR), middle * (1 - NEAR))


def ratio(top: Fraction | None, bottom: Fraction | None) -> Fraction | None:
    """Divide two sizes, where both are reached and the second is over 0."""
    return None if top is None or not bottom else top / bottom


def span(stack: SizeStack) -> Fraction | None:
    """Work out the span (D90 - D10) / D50 [1]; None where one of them is not reached."""
    tenth, middle, ninetieth = (size_passing(stack, Fraction(percent)) for percent in (10, 50, 90))
    return None if tenth is None or middle is None or ninetieth is None else (ninetieth - tenth) / middle


def uniformity_coefficient(stack: SizeStack) -> Fraction | None:
    """Work out D60 / D10 [1], 1 where all seeds are alike; None where one of them is not reached."""
    return ratio(size_passing(stack, Fraction(60)), size_passing(stack, Fraction(10)))


def class_edges(screens: Sequence[Screen]) -> list[Fraction]:
    """Give the edges of the classes, the widest first: above the widest screen and in the pan one step further.

    Args:
        screens: the widest first, the pan last.

    Returns:
        One more than there are classes [mm]. Where a step below the narrowest would leave nothing, half of it is
        taken. With one screen the step is half of its opening. Ours, no source: a sieve says nothing of these ends.
    """
    openings = [screen.mm for screen in screens if not screen.is_pan]
    first_step = openings[0] - openings[1] if len(openings) > 1 else openings[0] / 2
    last_step = openings[-2] - openings[-1] if len(openings) > 1 else openings[0] / 2
    bottom = openings[-1] - last_step
    return [openings[0] + first_step, *openings, bottom if bottom > 0 else openings[-1] / 2]
