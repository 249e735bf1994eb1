"""How much of what varies is the measuring: a gauge study of people (or instruments) who measure the same parts again.

Two roads: by averages and ranges, which can be done by hand, and by the analysis of variance, which also sees whether a
person misreads some parts only. EV is what one person's own repeats vary, AV what people differ, PV what the parts
differ; all are standard deviations in the unit of the readings. numpy and scipy are imported inside the functions.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from grading.stats.range_constants import d2, d2_of_one_range
from inventory.rules.working import Step

AIAG = "AIAG, Measurement Systems Analysis, average and range method (from memory)"
ANOVA = "AIAG, Measurement Systems Analysis, ANOVA method (from memory)"
POOLING = "Bancroft, Analysis and inference for incompletely specified models, 1964, pooling at 0.25 (from memory)"
POOL_AT = 0.25
CATEGORIES = 1.41  # times PV / GRR, as the manual rounds the square root of 2

Readings = Sequence[Sequence[Sequence[float]]]  # (people, trials, parts)


@dataclass(frozen=True, slots=True)
class Line:
    """One line of an analysis of variance; `f` and `p` are None where it has none."""

    name: str
    squares: float
    freedom: int
    mean: float
    f: float | None = None
    p: float | None = None


@dataclass(frozen=True, slots=True)
class GaugeStudy:
    """What a gauge study gives.

    Attributes:
        ev, av, grr, pv, tv: standard deviations of repeats, of people, of both, of parts, of all; the readings' unit.
        grr_pct: GRR in 100 of TV [%]; None where nothing varies.
        ndc: parts that can be told apart, 1.41 PV / GRR, cut off to a whole number; None where GRR is 0.
        lines: the analysis of variance; () by ranges.
        is_pooled: the interaction was laid together with the repeats; None by ranges.
        people, trials, parts: how many.
    """

    ev: float
    av: float
    grr: float
    pv: float
    tv: float
    grr_pct: float | None
    ndc: int | None
    lines: tuple[Line, ...]
    is_pooled: bool | None
    people: int
    trials: int
    parts: int
    method: str
    working: tuple[Step, ...]


def by_ranges(readings: Readings) -> GaugeStudy:
    """Work out a gauge study by averages and ranges.

    The factors K1, K2, K3 are 1 / d2 of the trials, and 1 / d2* of one range of people and of parts, rounded to four
    decimals as tables print them.

    Args:
        readings: shape (people, trials, parts), each at least 2.

    Raises:
        ValueError: fewer than 2 of any, readings missing, or not finite.

    Source: AIAG, Measurement Systems Analysis (from memory; K for 3 trials, 3 people and 10 parts read elsewhere).
    """
    people, trials, parts = _shape(readings)
    k1, k2, k3 = (round(1 / one, 4) for one in (d2(trials), d2_of_one_range(people), d2_of_one_range(parts)))
    r_bar = _mean([max(cell) - min(cell) for person in readings for cell in zip(*person, strict=True)])
    means = [_mean([x for trial in person for x in trial]) for person in readings]
    of_parts = [_mean([trial[i] for person in readings for trial in person]) for i in range(parts)]
    x_diff, r_p = max(means) - min(means), max(of_parts) - min(of_parts)
    ev, pv = r_bar * k1, r_p * k3
    av2 = (x_diff * k2) ** 2 - ev**2 / (parts * trials)
    av = math.sqrt(max(0.0, av2))
    cut = " below 0, so AV is set to 0" if av2 < 0 else ""
    steps = (
        Step("EV", f"mean range × K1 = {r_bar:.6f} × {k1} = {ev:.6f}", f"K1 = 1 / d2({trials})", source=AIAG),
        Step(
            "AV",
            f"sqrt(({x_diff:.6f} × {k2})^2 - {ev:.6f}^2 / ({parts} × {trials})) = sqrt({av2:.8f}){cut} = {av:.6f}",
            f"K2 = 1 / d2* of one range of {people}", source=AIAG,
        ),
        Step(
            "PV", f"range of the parts' means × K3 = {r_p:.6f} × {k3} = {pv:.6f}",
            f"K3 = 1 / d2* of one range of {parts}", source=AIAG,
        ),
    )  # fmt: skip
    of = _Found((people, trials, parts), "averages and ranges")
    return _study(ev, av, pv, of, steps)


def by_variance(readings: Readings, pool_at: float = POOL_AT) -> GaugeStudy:
    """Work out a gauge study by the analysis of variance, people and parts crossed and both at random.

    The interaction is laid together with the repeats where its p is over `pool_at`; else it counts with the people.

    Args:
        readings: shape (people, trials, parts), each at least 2.
        pool_at: 0 to 1 [1].

    Raises:
        ValueError: fewer than 2 of any, readings missing or not finite, or `pool_at` outside 0 to 1.

    Source: AIAG, Measurement Systems Analysis, ANOVA method; Bancroft 1964, Biometrics 20:427-442 (from memory).
    """
    shape = _shape(readings)
    if not 0 <= pool_at <= 1:
        raise ValueError(f"Pooling is judged by a p between 0 and 1, not {pool_at}.")
    people, trials, parts = shape
    by_people, by_parts, both, repeats = _squares(readings, shape)
    f, p = _f_test(both, repeats)
    is_pooled = p > pool_at
    error = both.mean * both.freedom + repeats.mean * repeats.freedom
    base = error / (both.freedom + repeats.freedom) if is_pooled else both.mean
    ev2 = base if is_pooled else repeats.mean
    of_people = max(0.0, (by_people.mean - base) / (parts * trials))
    of_both = 0.0 if is_pooled else max(0.0, (both.mean - repeats.mean) / trials)
    pv = math.sqrt(max(0.0, (by_parts.mean - base) / (people * trials)))
    lines = (
        _tested(by_people, base, both.freedom + (repeats.freedom if is_pooled else 0)),
        _tested(by_parts, base, both.freedom + (repeats.freedom if is_pooled else 0)),
        Line(both.name, both.squares, both.freedom, both.mean, f, p), repeats,
    )  # fmt: skip
    ev, av = math.sqrt(ev2), math.sqrt(of_people + of_both)
    steps = (
        *(
            Step(line.name, f"{line.squares:.6f} / {line.freedom} = {line.mean:.6f}", "mean square", source=ANOVA)
            for line in lines
        ),
        Step(
            "interaction", f"F = {f:.4f}, p = {p:.3f}, {'over' if is_pooled else 'not over'} {pool_at}: "
            f"{'pooled with the repeats' if is_pooled else 'kept'}, base {base:.7f}",
            source=POOLING,
        ),
        Step("EV", f"sqrt({ev2:.7f}) = {ev:.6f}", source=ANOVA),
        Step(
            "AV",
            f"sqrt(({by_people.mean:.6f} - {base:.6f}) / ({parts} × {trials}) + interaction {of_both:.6f}) = {av:.6f}",
            "parts below 0 set to 0", source=ANOVA,
        ),
        Step("PV", f"sqrt(({by_parts.mean:.6f} - {base:.6f}) / ({people} × {trials})) = {pv:.6f}", source=ANOVA),
    )  # fmt: skip
    of = _Found(shape, f"analysis of variance, pooled over p {pool_at}", lines, is_pooled)
    return _study(ev, av, pv, of, steps)


def _shape(readings: Readings) -> tuple[int, int, int]:
    trials = {len(person) for person in readings}
    parts = {len(trial) for person in readings for trial in person}
    if len(readings) < 2 or len(trials) != 1 or len(parts) != 1 or min(trials) < 2 or min(parts) < 2:
        raise ValueError("Two people or more read the same two parts or more, each twice or more.")
    if not all(math.isfinite(x) for person in readings for trial in person for x in trial):
        raise ValueError("Readings are finite numbers.")
    return len(readings), trials.pop(), parts.pop()


def _squares(readings: Readings, shape: tuple[int, int, int]) -> tuple[Line, Line, Line, Line]:
    import numpy as np  # noqa: PLC0415 - a web process starts without numpy

    people, trials, parts = shape
    x = np.asarray(readings, dtype=float)
    grand, cells = x.mean(), x.mean(axis=1)
    of_people, of_parts = cells.mean(axis=1), cells.mean(axis=0)
    sums = (
        parts * trials * ((of_people - grand) ** 2).sum(),
        people * trials * ((of_parts - grand) ** 2).sum(),
        trials * ((cells - of_people[:, None] - of_parts[None, :] + grand) ** 2).sum(),
        ((x - cells[:, None, :]) ** 2).sum(),
    )
    names = ("people", "parts", "people × parts", "repeats")
    freedom = (people - 1, parts - 1, (people - 1) * (parts - 1), people * parts * (trials - 1))
    lines = [Line(name, float(ss), df, float(ss) / df) for name, ss, df in zip(names, sums, freedom, strict=True)]
    return lines[0], lines[1], lines[2], lines[3]


def _f_test(line: Line, base: Line) -> tuple[float, float]:
    tested = _tested(line, base.mean, base.freedom)
    return tested.f or 0.0, 1.0 if tested.p is None else tested.p


def _tested(line: Line, base: float, freedom: int) -> Line:
    from scipy.special import fdtrc  # noqa: PLC0415 - a web process starts without scipy

    if base == 0:
        return Line(
            line.name,
            line.squares,
            line.freedom,
            line.mean,
            math.inf if line.mean else None,
            0.0 if line.mean else None,
        )
    f = line.mean / base
    return Line(line.name, line.squares, line.freedom, line.mean, f, float(fdtrc(line.freedom, freedom, f)))


@dataclass(frozen=True, slots=True)
class _Found:
    """What a study says beside its spreads."""

    shape: tuple[int, int, int]
    method: str
    lines: tuple[Line, ...] = ()
    is_pooled: bool | None = None


def _study(ev: float, av: float, pv: float, of: _Found, steps: tuple[Step, ...]) -> GaugeStudy:
    grr = math.hypot(ev, av)
    tv = math.hypot(grr, pv)
    pct = 100 * grr / tv if tv else None
    ndc = math.floor(CATEGORIES * pv / grr) if grr else None
    more = [
        Step("GRR", f"sqrt({ev:.6f}^2 + {av:.6f}^2) = {grr:.6f}", source=AIAG),
        Step("TV", f"sqrt({grr:.6f}^2 + {pv:.6f}^2) = {tv:.6f}", source=AIAG),
    ]
    if pct is not None:
        more.append(Step("GRR in 100 of TV", f"100 × {grr:.6f} / {tv:.6f} = {pct:.3f} %", source=AIAG))
    if ndc is not None:
        formula = f"{CATEGORIES} × {pv:.6f} / {grr:.6f} = {CATEGORIES * pv / grr:.2f}"
        more.append(Step("parts that can be told apart", formula, rounding=f"{ndc}, cut off", source=AIAG))
    return GaugeStudy(ev, av, grr, pv, tv, pct, ndc, of.lines, of.is_pooled, *of.shape, of.method, (*steps, *more))


def _mean(values: Sequence[float]) -> float:
    return math.fsum(values) / len(values)
