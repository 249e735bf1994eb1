"""A mix of lots, exactly: what it holds of each factor, whether it keeps a limit, and how far one limit can be brought.

A mix holds of a factor the mass-weighted mean of what its lots hold: a bean stays what it is. So a limit on the mix is
linear in the masses: the sum of mass x (share - limit) is 0 or less.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, lcm

MG_PER_G = 1_000


@dataclass(frozen=True, slots=True)
class MixLot:
    """A lot that may go into a mix.

    Attributes:
        name: its number.
        most: what there is of it, or less if less may go in [mg].
        least: what must go in [mg].
    """

    name: str
    most: int
    least: int = 0


@dataclass(frozen=True, slots=True)
class Limit:
    """A bound on the mix.

    Attributes:
        name, words: the factor.
        shares: what each lot holds of it, in the order of the lots [1].
        bound: the most, or for a floor the least [1].
        is_floor: at least, as for germination.
        is_open: the bound itself is too much, as half a step over a limit reads over it.
        written: the limit as people know it: "2.00".
    """

    name: str
    words: str
    shares: tuple[Fraction, ...]
    bound: Fraction
    is_floor: bool = False
    is_open: bool = False
    written: str = ""

    def excess(self, lot: int) -> Fraction:
        """How far one lot alone lies beyond the bound [1]; 0 or less holds it."""
        over = self.shares[lot] - self.bound
        return -over if self.is_floor else over

    def value(self, masses: Sequence[int]) -> Fraction:
        """What a mix holds [1].

        Args:
            masses: of each lot, 0 or more, together over 0 [mg].
        """
        of = lcm(*(share.denominator for share in self.shares))  # one common denominator: no reducing at every step
        parts = (mass * share.numerator * (of // share.denominator) for mass, share in self._taken(masses))
        return Fraction(sum(parts), of * sum(masses))

    def _taken(self, masses: Sequence[int]) -> Iterator[tuple[int, Fraction]]:
        return ((mass, share) for mass, share in zip(masses, self.shares, strict=True) if mass)

    def admits(self, value: Fraction) -> bool:
        """Say whether a mix that holds so much keeps the limit."""
        over = self.bound - value if self.is_floor else value - self.bound
        return over < 0 or (over == 0 and not self.is_open)

    def beyond(self, masses: Sequence[int]) -> Fraction:
        """How far a mix lies beyond the bound [1]; 0 or less where it lies within or at it."""
        over = self.value(masses) - self.bound
        return -over if self.is_floor else over


def broken(limits: Sequence[Limit], masses: Sequence[int]) -> list[Limit]:
    """List the limits that a mix does not keep, exactly."""
    return [limit for limit in limits if not limit.admits(limit.value(masses))]


def best_alone(limit: Limit, lots: Sequence[MixLot], total: int | None) -> Fraction:
    """Bring one limit as far as stock allows, all other limits left aside.

    What must go in goes in; then the lots that are best in it, best first: to the wanted total, or as long as the mix
    gains by it.

    Args:
        limit: the only one that counts.
        lots: in the order of its shares.
        total: wanted mass [mg]; None where any mass will do.

    Returns:
        The lowest share that a mix can have; for a floor the highest [1].
    """
    masses = [lot.least for lot in lots]
    order = sorted(range(len(lots)), key=limit.excess)
    for place in order:
        used = sum(masses)
        gains = not used or limit.excess(place) < limit.beyond(masses)
        if total is None and not gains:
            break
        room = lots[place].most - masses[place]
        masses[place] += room if total is None else min(room, total - used)
    return limit.value(masses)


def poorest(limits: Sequence[Limit], lots: Sequence[MixLot]) -> list[Fraction]:
    """Tell how poor each lot is: the limit that it comes nearest to or exceeds most, as a part of that limit [1].

    Floors count the other way round. Ours, no source.
    """
    return [max((_poor(limit, place) for limit in limits), default=Fraction(0)) for place in range(len(lots))]


def _poor(limit: Limit, place: int) -> Fraction:
    share = limit.shares[place]
    if limit.is_floor:
        return limit.bound / share if share else Fraction(1_000)
    return share / limit.bound if limit.bound else Fraction(int(share > 0))


def rounded(masses: Sequence[float], lots: Sequence[MixLot], step: int, total: int | None) -> tuple[int, ...]:
    """Bring computed masses to whole grams or bags, within what there is, and to the wanted total.

    Args:
        masses: as computed [mg].
        lots: whose bounds are kept.
        step: a gram, or a bag [mg].
        total: wanted mass, a multiple of the step [mg]; None where any will do.

    Returns:
        Masses [mg]; the steps that rounding down left over go where most of a step was cut off.
    """
    slack = 1e-6  # of a step: computed masses end a hair under the whole number that is meant
    whole = [_within(int(mass / step + slack) * step, lot, step) for mass, lot in zip(masses, lots, strict=True)]
    if total is None:
        return tuple(whole)
    order = sorted(range(len(lots)), key=lambda place: whole[place] - masses[place])
    for place in order * 2:
        gap = total - sum(whole)
        moved = _within(whole[place] + (step if gap > 0 else -step), lots[place], step) if gap else whole[place]
        whole[place] = moved
    return tuple(whole)


def mended(
    masses: Sequence[int], limits: Sequence[Limit], lots: Sequence[MixLot], step: int, total: int | None
) -> tuple[int, ...] | None:
    """Give back a few grams where rounding broke a limit; with a wanted total, to a lot that is better in it.

    Returns:
        Masses that hold every limit; None where a few steps do not mend it.
    """
    whole = list(masses)
    for _ in range(4 * len(limits) + 1):
        over = broken(limits, whole) if sum(whole) else []
        if not over:
            return tuple(whole)
        if not _mend(whole, over[0], lots, step, has_total=total is not None):
            return None
    return None


def _mend(whole: list[int], limit: Limit, lots: Sequence[MixLot], step: int, *, has_total: bool) -> bool:
    """Take from the worst lot what the mix is over by, at most as many steps as rounding can have moved."""
    givers = [place for place, lot in enumerate(lots) if whole[place] - step >= lot.least]
    takers = [place for place, lot in enumerate(lots) if whole[place] + step <= lot.most] if has_total else []
    if not givers or (has_total and not takers):
        return False
    worst, best = max(givers, key=limit.excess), min(takers, key=limit.excess, default=None)
    gain = (limit.excess(worst) - (limit.excess(best) if best is not None else 0)) * step
    over = limit.beyond(whole) * sum(whole) / gain if gain > 0 else Fraction(len(lots) + 1)
    steps = ceil(over) + (limit.is_open and over == ceil(over))
    moved = steps * step
    if steps > len(lots) or whole[worst] - moved < lots[worst].least:
        return False
    whole[worst] -= moved
    if best is not None:
        whole[best] += moved
    return best is None or whole[best] <= lots[best].most


def _within(mass: int, lot: MixLot, step: int) -> int:
    least, most = -(-lot.least // step) * step, lot.most // step * step
    return max(least, min(mass, most))
