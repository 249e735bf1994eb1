"""A blend plan of 40 lots under 9 limits beside the bare linear program of the same numbers."""

from collections.abc import Iterator
from fractions import Fraction
from random import Random

from benchmarks.result import Result
from benchmarks.timing import interleaved
from grading.rules.mixing import Limit, MixLot

LOTS, LIMITS = 40, 9


def run() -> Iterator[Result]:
    """Compare in one run: our plan (two wishes, rounded to grams, held exactly) with one bare call of the solver."""
    from scipy.optimize import linprog  # noqa: PLC0415 - only this benchmark needs it

    from grading.queries.mix_plan import Hindrance, Wanted, plan_mix  # noqa: PLC0415 - after Django is set up

    lots, limits = case()
    shares = [[float(limit.excess(place)) for place in range(LOTS)] for limit in limits]
    gains, ends = [-1.0] * LOTS, [(0.0, lot.most / 1e6) for lot in lots]
    wanted = Wanted(None, ((1.0,) * LOTS, tuple(float(share) for share in limits[0].shares)))

    def ours() -> None:
        plan = plan_mix(lots, limits, wanted)
        if isinstance(plan, Hindrance):
            raise AssertionError("The case is made so that a mix holds.")

    def reference() -> None:
        linprog(gains, A_ub=shares, b_ub=[0.0] * LIMITS, bounds=ends, method="highs")

    yield Result("blend", *interleaved(ours, reference, runs=25))


def case() -> tuple[list[MixLot], list[Limit]]:
    """Lots of 100 to 2,000 kg, each picked from about 500 g; a third of them over one limit or another."""
    chance = Random(3)
    lots = [MixLot(f"lot {place}", chance.randrange(100_000, 2_000_000) * 1_000) for place in range(LOTS)]
    portions = [chance.randrange(4_950, 5_050) for _ in lots]
    limits = []
    for index in range(LIMITS):
        bound = Fraction(chance.randrange(20, 400), 10_000)
        found = [chance.betavariate(2, 2) * 2.1 * bound for _ in lots]
        shares = tuple(Fraction(int(part * of), of) for part, of in zip(found, portions, strict=True))
        limits.append(Limit(f"factor {index}", "factor", shares, bound))
    return lots, limits
