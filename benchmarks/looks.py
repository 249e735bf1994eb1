"""Do 2,000 lots look like their line: our judgement beside a bare numpy one that knows only the own line's lots."""

from collections.abc import Iterator
from datetime import date
from fractions import Fraction
from random import Random
from typing import TYPE_CHECKING

from benchmarks.result import Result
from benchmarks.timing import interleaved

if TYPE_CHECKING:
    from grading.queries.lot_measures import MeasuredLot

LINES = 100
YEARS = 20


def run() -> Iterator[Result]:
    """Compare in one run; ours also learns the spread from all lines and looks for the line a strange lot is like."""
    # Django must be set up before the queries are imported; the frame does so before it calls us.
    import numpy as np  # noqa: PLC0415
    from scipy.special import fdtrc  # noqa: PLC0415

    from grading.queries.likeness import Books, judge  # noqa: PLC0415

    lots = station()
    by_line: dict[str, list[np.ndarray]] = {}
    for lot in lots:
        by_line.setdefault(lot.line, []).append(np.array([m.values for m in lot.measures.values()][1]))

    def ours() -> None:
        books = Books(lots)
        for lot in lots:
            judge(books, lot)

    def bare() -> None:
        for rows in by_line.values():
            for n in range(5, len(rows)):
                past = np.array(rows[:n])
                off = rows[n] - past.mean(axis=0)
                t2 = off @ np.linalg.solve(np.cov(past, rowvar=False), off) / (1 + 1 / n)
                fdtrc(3, n - 3, t2 * (n - 3) / (3 * (n - 1)))

    yield Result("looks like its line, 2,000 lots", *interleaved(ours, bare, runs=3))


def station() -> "list[MeasuredLot]":
    """Lots of a hundred lines over twenty years, each with a seed weight and a colour."""
    from grading.queries.lot_measures import SEED_WEIGHT, Measure, MeasuredLot, colour_kind  # noqa: PLC0415

    rng, colour = Random(5), colour_kind("CIELAB", "D65", "10")
    lots = []
    for line in range(LINES):
        grams, lab = rng.uniform(15, 40), [rng.uniform(20, 70), rng.uniform(0, 6), rng.uniform(0, 16)]
        for year in range(YEARS):
            on = date(2006 + year, 10, 1)
            weight = [Fraction(f"{grams * rng.gauss(1, 0.02):.2f}")]
            seen = [Fraction(f"{axis + rng.gauss(0, 0.6):.1f}") for axis in lab]
            measures = {SEED_WEIGHT: Measure.of(SEED_WEIGHT, on, weight), colour: Measure.of(colour, on, seen)}
            lots.append(MeasuredLot(f"{year}-{line}", f"L{line}", "navy", measures))
    return lots
