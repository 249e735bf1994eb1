"""Agreement of graders who give numbers: the intraclass correlation, in the six forms of Shrout and Fleiss.

Which to use: (1,1) where each target was measured by other graders; (2,1), absolute agreement, where graders may stand
in for each other, as at a bench; (3,1), consistency, where only these very graders matter and a grader's constant
difference does not. (., k) is the same for the mean of all k graders. scipy is imported inside the functions.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

from inventory.rules.working import Step

SHROUT = "Shrout, Fleiss, Intraclass correlations: uses in assessing rater reliability, 1979 (formulas from memory)"
MCGRAW = "McGraw, Wong, Forming inferences about some intraclass correlation coefficients, 1996 (from memory)"


@dataclass(frozen=True, slots=True)
class Icc:
    """One form of the correlation.

    Attributes:
        form: "2,1".
        estimate: the share of what varies that lies between targets [1]; below 0 where graders differ
            more than targets.
        low, high: its likely range [1].
    """

    form: str
    estimate: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Iccs:
    """All six forms of one table, with the mean squares that they stand on.

    Attributes:
        forms: "1,1", "2,1", "3,1" and the same for the mean of k graders.
        between, within, graders, error: mean squares: BMS, WMS, JMS, EMS; the unit of the readings, squared.
        n, k: targets and graders.
        level: how often such a range holds the truth [1].
    """

    forms: tuple[Icc, ...]
    between: float
    within: float
    graders: float
    error: float
    n: int
    k: int
    level: float
    method: str
    working: tuple[Step, ...]

    def of(self, form: str) -> Icc:
        """Give one form by its name, such as "2,1"."""
        return next(each for each in self.forms if each.form == form)


def iccs(rows: Sequence[Sequence[float]], level: float = 0.95) -> Iccs | None:
    """Give the intraclass correlations of a full table.

    Args:
        rows: readings, shape (targets, graders), both at least 2.
        level: 0 to 1, both excluded [1].

    Returns:
        All forms; None where all readings are the same, since there is nothing to share out then.

    Raises:
        ValueError: the table is ragged or too small, or a reading is not finite.

    Source: Shrout, Fleiss 1979, Psychol. Bull. 86:420-428; range of the averaged forms by the same road (from memory).
    """
    n, k = _check(rows, level)
    bms, wms, jms, ems = mean_squares(rows)
    if bms == 0 and wms == 0:
        return None
    tail = (1 - level) / 2
    singles = (
        Icc("1,1", *_one_way(bms, wms, n, k, tail)),
        Icc("2,1", *_agreement((bms, jms, ems), n, k, tail)),
        Icc("3,1", *_consistency(bms, ems, n, k, tail)),
    )
    means = tuple(Icc(f"{each.form[0]},k", *_averaged(each, k)) for each in singles)
    steps = _steps((bms, wms, jms, ems), n, k, (*singles, *means))
    return Iccs((*singles, *means), bms, wms, jms, ems, n, k, level, "analysis of variance of a full table", steps)


def mean_squares(rows: Sequence[Sequence[float]]) -> tuple[float, float, float, float]:
    """Give the mean squares between targets, within targets, between graders, and of what is left."""
    n, k = len(rows), len(rows[0])
    grand = math.fsum(map(math.fsum, rows)) / (n * k)
    targets = [math.fsum(row) / k for row in rows]
    graders = [math.fsum(column) / n for column in zip(*rows, strict=True)]
    between = k * math.fsum((mean - grand) ** 2 for mean in targets)
    within = math.fsum((x - mean) ** 2 for row, mean in zip(rows, targets, strict=True) for x in row)
    judges = n * math.fsum((mean - grand) ** 2 for mean in graders)
    left = math.fsum(
        (x - mean - judge + grand) ** 2
        for row, mean in zip(rows, targets, strict=True)
        for x, judge in zip(row, graders, strict=True)
    )
    return between / (n - 1), within / (n * (k - 1)), judges / (k - 1), left / ((n - 1) * (k - 1))


def _check(rows: Sequence[Sequence[float]], level: float) -> tuple[int, int]:
    if len(rows) < 2 or len({len(row) for row in rows}) != 1 or len(rows[0]) < 2:
        raise ValueError("There are two targets and two graders or more, and every grader read every target.")
    if not all(math.isfinite(x) for row in rows for x in row) or not 0 < level < 1:
        raise ValueError("Readings are finite numbers; a level lies between 0 and 1.")
    return len(rows), len(rows[0])


def _quantile(p: float, above: float, below: float) -> float:
    from scipy.special import fdtri  # noqa: PLC0415 - a web process starts without scipy

    return float(fdtri(above, below, p))


def _from_ratio(ratio: float, k: int) -> float:
    return 1.0 if math.isinf(ratio) else (ratio - 1) / (ratio + k - 1)


def _one_way(bms: float, wms: float, n: int, k: int, tail: float) -> tuple[float, float, float]:
    return _by_ratio(bms, wms, k, (n - 1, n * (k - 1)), tail)


def _consistency(bms: float, ems: float, n: int, k: int, tail: float) -> tuple[float, float, float]:
    return _by_ratio(bms, ems, k, (n - 1, (n - 1) * (k - 1)), tail)


def _by_ratio(top: float, rest: float, k: int, freedom: tuple[int, int], tail: float) -> tuple[float, float, float]:
    ratio = top / rest if rest else math.inf
    above, below = freedom
    low = ratio / _quantile(1 - tail, above, below)
    high = ratio * _quantile(1 - tail, below, above)
    return _from_ratio(ratio, k), _from_ratio(low, k), _from_ratio(high, k)


def _agreement(squares: tuple[float, float, float], n: int, k: int, tail: float) -> tuple[float, float, float]:
    """ICC(2,1): its range by Satterthwaite's degrees of freedom (Shrout, Fleiss 1979, from memory)."""
    bms, jms, ems = squares
    whole = bms + (k - 1) * ems + k * (jms - ems) / n
    estimate = (bms - ems) / whole if whole else 0.0
    if ems == 0:
        return estimate, estimate if jms == 0 else -1 / (k - 1), 1.0
    ratio = jms / ems
    rest = n * (1 + (k - 1) * estimate) - k * estimate
    below = (k * estimate * ratio + rest) ** 2 * (k - 1) * (n - 1)
    freedom = below / ((n - 1) * (k * estimate * ratio) ** 2 + rest**2)
    upper, lower = _quantile(1 - tail, n - 1, freedom), _quantile(1 - tail, freedom, n - 1)
    spread = k * jms + (k * n - k - n) * ems
    low = n * (bms - upper * ems) / (upper * spread + n * bms)
    high = n * (lower * bms - ems) / (spread + n * lower * bms)
    return estimate, low, high


def _averaged(single: Icc, k: int) -> tuple[float, float, float]:
    """Spearman and Brown: what the mean of k graders gains."""
    gained: Callable[[float], float] = partial(_spearman_brown, k=k)
    return gained(single.estimate), gained(single.low), gained(single.high)


def _spearman_brown(one: float, k: int) -> float:
    under = 1 + (k - 1) * one
    return k * one / under if under > 0 else -math.inf


def _steps(squares: tuple[float, ...], n: int, k: int, forms: Sequence[Icc]) -> tuple[Step, ...]:
    bms, wms, jms, ems = squares
    first = Step(
        "mean squares", f"targets {bms:.5f}, within targets {wms:.5f}, graders {jms:.5f}, what is left {ems:.5f}",
        f"{n} targets, {k} graders", source=SHROUT,
    )  # fmt: skip
    said = {
        "1,1": f"({bms:.5f} - {wms:.5f}) / ({bms:.5f} + {k - 1} × {wms:.5f})",
        "2,1": f"({bms:.5f} - {ems:.5f}) / ({bms:.5f} + {k - 1} × {ems:.5f} + {k} × ({jms:.5f} - {ems:.5f}) / {n})",
        "3,1": f"({bms:.5f} - {ems:.5f}) / ({bms:.5f} + {k - 1} × {ems:.5f})",
    }
    single = {each.form[0]: each for each in forms if each.form in said}
    return (
        first,
        *(
            Step(f"ICC({each.form})", f"{said[each.form]} = {each.estimate:.4f}", source=SHROUT)
            for each in single.values()
        ),
        *(
            Step(
                f"ICC({each.form})",
                f"{k} × {single[each.form[0]].estimate:.4f} / (1 + {k - 1} × {single[each.form[0]].estimate:.4f})"
                f" = {each.estimate:.4f}",
                f"the mean of {k} graders", source=SHROUT,
            )
            for each in forms
            if each.form not in said
        ),
        Step(
            "likely ranges", "from F quantiles of the ratios of mean squares; of (2,1) with Satterthwaite's freedom",
            source=MCGRAW,
        ),
    )  # fmt: skip
