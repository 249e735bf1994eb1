"""Which mix of lots holds all limits at most gained; or which limit makes it impossible.

The program is solved in floats; its answer is rounded to whole grams or bags and then held against every limit in
exact fractions. Where rounding broke one, a few grams mend it; else the limit is drawn in by a hair and the program
solved again.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from grading.rules.mixing import MG_PER_G, Limit, MixLot, best_alone, broken, mended, rounded
from grading.stats.program import NotSolved, Program, solve

ROUNDS = 25
HAIR = Fraction(1, 10**9)  # of a share: what a bound is drawn in by where rounding broke it by nothing or less
SAME = 1e-9  # of what was gained: how near the next wish stays to what the one before gained


@dataclass(frozen=True, slots=True)
class Wanted:
    """What the mix is to be.

    Attributes:
        total: its mass [mg]; None where any will do.
        step: masses are multiples of it: a gram, or a bag [mg].
        wishes: what a unit of each lot gains, the first wish before the second; (n,) each.
    """

    total: int | None
    wishes: tuple[tuple[float, ...], ...]
    step: int = MG_PER_G

    @property
    def is_in_bags(self) -> bool:
        """Masses are whole bags."""
        return self.step > MG_PER_G


@dataclass(frozen=True, slots=True)
class Hindrance:
    """Why there is no such mix.

    Attributes:
        limits: one that cannot be held whatever is mixed, or those that cannot be held together; none where only
            whole bags stand in the way.
        best: what the first can be brought to while the others are held [1].
        is_alone: each of the limits is out of reach by itself.
    """

    limits: tuple[Limit, ...]
    best: tuple[Fraction, ...]
    is_alone: bool


def plan_mix(lots: Sequence[MixLot], limits: Sequence[Limit], wanted: Wanted) -> tuple[int, ...] | Hindrance:
    """Plan a mix.

    Args:
        lots: at least one, each with least at most most.
        limits: with a share for each lot.
        wanted: within what there is.

    Returns:
        Mass of each lot [mg], every limit held exactly; or what hinders it.
    """
    drawn_in = [Fraction(0)] * len(limits)
    for _ in range(ROUNDS):
        found = _solve(lots, limits, wanted, drawn_in)
        if found is None:
            break
        masses = rounded(found, lots, wanted.step, wanted.total)
        if not sum(masses):
            break
        if not wanted.is_in_bags:
            masses = mended(masses, limits, lots, wanted.step, wanted.total) or masses
        over = broken(limits, masses)
        if not over and wanted.total in (None, sum(masses)):
            return masses
        # In grams all limits give way together, which costs nothing; a bag more or less may rest on one of them.
        less = 2 * max(HAIR, *drawn_in, *(limit.beyond(masses) for limit in over))
        drawn_in = [
            each + less * (limit in over or not wanted.is_in_bags) for each, limit in zip(drawn_in, limits, strict=True)
        ]
    return why_not(lots, limits, wanted)


def why_not(lots: Sequence[MixLot], limits: Sequence[Limit], wanted: Wanted) -> Hindrance:
    """Find the limits that stand in the way: one that nothing can hold, else a smallest set that clashes.

    Args:
        lots, limits, wanted: of which no mix was found.
    """
    reach = [(limit, best_alone(limit, lots, wanted.total)) for limit in limits]
    alone = [(limit, best) for limit, best in reach if not limit.admits(best)]
    if alone:
        return Hindrance(tuple(limit for limit, _ in alone), tuple(best for _, best in alone), is_alone=True)
    clash = list(limits)
    if _shares(lots, clash, wanted) is not None:
        return Hindrance((), (), is_alone=False)
    for limit in limits:
        rest = [each for each in clash if each is not limit]
        if _shares(lots, rest, wanted) is None:
            clash = rest
    best = [_best_beside(lots, limit, [each for each in clash if each is not limit], wanted) for limit in clash]
    return Hindrance(tuple(clash), tuple(best), is_alone=False)


def _solve(
    lots: Sequence[MixLot], limits: Sequence[Limit], wanted: Wanted, drawn_in: Sequence[Fraction]
) -> list[float] | None:
    """Meet the wishes one after the other; in steps, so that numbers are near 1 [mg]."""
    scale = wanted.step if wanted.is_in_bags else max(MG_PER_G, max(lot.most for lot in lots) // 100)
    rows = [_row(limit, less) for limit, less in zip(limits, drawn_in, strict=True)]
    caps = [0.0] * len(rows)
    found: tuple[float, ...] | None = None
    for wish in wanted.wishes:
        program = Program(
            gains=wish,
            rows=rows,
            caps=caps,
            least=[_up(lot.least, wanted.step) / scale for lot in lots],
            most=[lot.most // wanted.step * wanted.step / scale for lot in lots],
            total=None if wanted.total is None else wanted.total / scale,
            is_whole=wanted.is_in_bags,
        )
        better = _quietly(program)
        if better is None:
            break
        found = better
        gained = sum(gain * mass for gain, mass in zip(wish, found, strict=True))
        rows, caps = [*rows, [-gain for gain in wish]], [*caps, -gained + SAME * abs(gained)]
    return None if found is None else [mass * scale for mass in found]


def _quietly(program: Program) -> tuple[float, ...] | None:
    """Take giving up for an empty answer: what is said of it is worked out exactly afterwards."""
    try:
        return solve(program)
    except NotSolved:
        return None


def _shares(
    lots: Sequence[MixLot], limits: Sequence[Limit], wanted: Wanted, least: Limit | None = None
) -> tuple[float, ...] | None:
    """Find parts of a mix, of any mass that there may be, that hold limits; the last number is 1 over the mass.

    Masses divided by their sum make the limits independent of it (Charnes, Cooper, "Programming with linear fractional
    functionals", Nav. Res. Logist. Q. 9 (1962) 181-186).
    """
    unit = max(sum(lot.most for lot in lots), 1)
    rows = [[*_row(limit), 0.0] for limit in limits]
    for place, lot in enumerate(lots):
        row = [float(place == each) for each in range(len(lots))]
        rows += [[*row, -lot.most / unit], [*(-each for each in row), lot.least / unit]]
    forced = sum(lot.least for lot in lots) or MG_PER_G
    ends = (1.0, unit / forced) if wanted.total is None else (unit / wanted.total, unit / wanted.total)
    gains = [-float(least.excess(place)) for place in range(len(lots))] if least else [0.0] * len(lots)
    count = len(lots)
    rows += [[1.0] * count + [0.0], [-1.0] * count + [0.0]]
    caps = [0.0] * (len(rows) - 2) + [1.0, -1.0]
    return _quietly(
        Program([*gains, 0.0], rows, caps, [0.0] * count + [ends[0]], [1.0] * count + [ends[1]])
    )  # fmt: skip


def _best_beside(lots: Sequence[MixLot], limit: Limit, others: Sequence[Limit], wanted: Wanted) -> Fraction:
    """Bring one limit as far as the others let it."""
    found = _shares(lots, others, wanted, least=limit)
    if found is None:
        return best_alone(limit, lots, wanted.total)
    parts = [Fraction(part).limit_denominator(10**9) for part in found[:-1]]
    return sum((part * share for part, share in zip(parts, limit.shares, strict=True)), Fraction(0)) / sum(parts)


def _row(limit: Limit, less: Fraction = Fraction(0)) -> list[float]:
    """How far each lot lies beyond a bound that is drawn in [per cent, so that numbers are near 1]."""
    sign, bound = (-100.0, limit.bound + less) if limit.is_floor else (100.0, limit.bound - less)
    end = float(bound)
    return [sign * (float(share) - end) for share in limit.shares]


def _up(mass: int, step: int) -> int:
    return -(-mass // step) * step
