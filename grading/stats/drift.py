"""Whether differences of re-grades wander off 0 as time goes: a chart of their weighted running mean, with limits.

Each new difference counts a fifth, what came before four fifths (EWMA). The limits stand 3.2 standard deviations of
that mean off 0; how much differences scatter is read from neighbours in time, so that a slow drift does not widen its
own limits. With these numbers fewer than 1 in 12 series of 8 to 30 differences without any drift are called drifting,
as a simulation among the tests shows; over 30 the newest 30 are judged.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from inventory.rules.working import Step

ROBERTS = "Roberts, Control chart tests based on geometric moving averages, 1959 (from memory)"
NIST = "NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.4 EWMA control charts"
WIDTH_FROM = "width 3.2 and 8 to 30 differences: ours, by simulation"
WEIGHT, WIDTH = 0.2, 3.2
FEWEST, NEWEST = 8, 30
NEIGHBOURS = 2 / math.sqrt(math.pi)  # d2 of two readings: mean distance of two normal neighbours [SD]


@dataclass(frozen=True, slots=True)
class Point:
    """One point of the chart.

    Attributes:
        value: the difference itself.
        mean: the weighted running mean up to here.
        limit: how far that mean may stand off the centre here.
        is_out: it stands further off.
    """

    value: float
    mean: float
    limit: float
    is_out: bool


@dataclass(frozen=True, slots=True)
class Drift:
    """A chart of differences in the order of time; all in their unit.

    Attributes:
        points: the chart, the oldest first; () where there are too few.
        centre: where it would stand without drift.
        sd: standard deviation of single differences, from neighbours.
        first_out: place of the first point outside, from 1; None where none is.
        n: differences judged.
        too_few: fewer than can be judged.
    """

    points: tuple[Point, ...]
    centre: float
    sd: float
    first_out: int | None
    n: int
    too_few: bool
    method: str
    working: tuple[Step, ...]


def drift(differences: Sequence[float], centre: float = 0.0) -> Drift:
    """Chart differences in the order of time.

    Args:
        differences: second minus first, the oldest first.
        centre: where they would lie without drift.

    Raises:
        ValueError: a difference is not finite.

    Source: Roberts 1959, Technometrics 1:239-250 (from memory); NIST/SEMATECH e-Handbook 6.3.2.4.
    """
    if not all(map(math.isfinite, differences)):
        raise ValueError("Differences are finite numbers.")
    newest = list(differences)[-NEWEST:]
    method = f"EWMA, weight {WEIGHT}, limits {WIDTH} standard deviations"
    if len(newest) < FEWEST:
        return Drift((), centre, 0.0, None, len(newest), too_few=True, method=method, working=())
    gaps = [abs(b - a) for a, b in pairwise(newest)]
    sd = math.fsum(gaps) / len(gaps) / NEIGHBOURS
    points = tuple(
        Point(value, mean, limit, abs(mean - centre) > limit)
        for value, mean, limit in zip(newest, ewma(newest, WEIGHT, centre), _limits(sd, len(newest)), strict=True)
    )
    first = next((place for place, point in enumerate(points, 1) if point.is_out), None)
    steps = _steps(points, gaps, sd, centre)
    return Drift(points, centre, sd, first, len(newest), too_few=False, method=method, working=steps)


def ewma(values: Sequence[float], weight: float, start: float) -> list[float]:
    """Give the weighted running means: each is weight × value + (1 - weight) × the one before.

    Args:
        weight: over 0, up to 1 [1].
        start: what stands before the first value.
    """
    means, mean = [], start
    for value in values:
        mean = weight * value + (1 - weight) * mean
        means.append(mean)
    return means


def mean_sd(sd: float, weight: float, t: int | None = None) -> float:
    """Give the standard deviation of the running mean after t values, or after very many.

    Source: NIST/SEMATECH e-Handbook 6.3.2.4: s^2 weight / (2 - weight) when t is not small.
    """
    settled = 1.0 if t is None else 1 - (1 - weight) ** (2 * t)
    return sd * math.sqrt(weight / (2 - weight) * settled)


def _limits(sd: float, n: int) -> list[float]:
    return [WIDTH * mean_sd(sd, WEIGHT, t) for t in range(1, n + 1)]


def _steps(points: Sequence[Point], gaps: Sequence[float], sd: float, centre: float) -> tuple[Step, ...]:
    last, settled = points[-1], f"1 - {1 - WEIGHT}^{2 * len(points)}"
    return (
        Step(
            "standard deviation of one difference",
            f"mean distance of neighbours {math.fsum(gaps) / len(gaps):.6g} / {NEIGHBOURS:.4f} = {sd:.6g}",
            f"{len(gaps)} neighbours in time", source=NIST,
        ),
        Step(
            "running mean at the end", f"{WEIGHT} × {last.value:.6g} + {1 - WEIGHT} × the one before = {last.mean:.6g}",
            f"{len(points)} differences, starting from {centre:.6g}", source=ROBERTS,
        ),
        Step(
            "limits at the end",
            f"{centre:.6g} ± {WIDTH} × {sd:.6g} × sqrt({WEIGHT} / (2 - {WEIGHT}) × ({settled}))"
            f" = {centre:.6g} ± {last.limit:.6g}",
            source=f"{NIST}; {WIDTH_FROM}",
        ),
    )  # fmt: skip
