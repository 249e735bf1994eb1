"""A linear program, with whole numbers where wanted: what to take of each so that the most is gained.

Solved by HiGHS through scipy, which is imported inside the function, because a web process must start without it.
"""

from collections.abc import Sequence
from dataclasses import dataclass

SECONDS = 10.0  # a program in whole bags may take longer than anybody waits; what was found until then is used
_INFEASIBLE = 2


class NotSolved(ArithmeticError):  # noqa: N818 - it says what happened
    """The solver gave up: neither a solution nor a proof that there is none."""


@dataclass(frozen=True, slots=True)
class Program:
    """Take x so that gains · x is most.

    Attributes:
        gains: what one unit of each gains, (n,).
        rows: each row · x is its cap or less, (m, n).
        caps: (m,).
        least, most: of each, (n,).
        total: the sum of x; None where any will do.
        is_whole: only whole numbers.
    """

    gains: Sequence[float]
    rows: Sequence[Sequence[float]]
    caps: Sequence[float]
    least: Sequence[float]
    most: Sequence[float]
    total: float | None = None
    is_whole: bool = False


def solve(program: Program) -> tuple[float, ...] | None:
    """Solve a program.

    Returns:
        x, (n,); None where no x keeps all rows and bounds.

    Raises:
        NotSolved: the solver gave up.

    Source: Huangfu, Hall, "Parallelizing the dual revised simplex method", Math. Prog. Comp. 10 (2018) 119-142
        (HiGHS); for whole numbers its branch and cut.
    """
    return _whole(program) if program.is_whole else _any(program)


def _any(program: Program) -> tuple[float, ...] | None:
    from scipy.optimize import linprog  # noqa: PLC0415 - a web process starts without scipy

    ones = [1.0] * len(program.gains)
    found = linprog(
        [-gain for gain in program.gains],
        A_ub=program.rows or None,
        b_ub=program.caps if program.rows else None,
        A_eq=None if program.total is None else [ones],
        b_eq=None if program.total is None else [program.total],
        bounds=list(zip(program.least, program.most, strict=True)),
        method="highs",
    )
    return _answer(found)


def _whole(program: Program) -> tuple[float, ...] | None:
    from scipy.optimize import Bounds, LinearConstraint, milp  # noqa: PLC0415 - a web process starts without scipy

    ones = [1.0] * len(program.gains)
    kept = [LinearConstraint(program.rows, ub=program.caps)] if program.rows else []
    summed = [] if program.total is None else [LinearConstraint([ones], program.total, program.total)]
    found = milp(
        [-gain for gain in program.gains],
        integrality=ones,
        bounds=Bounds(program.least, program.most),
        constraints=[*kept, *summed],
        options={"time_limit": SECONDS},
    )
    return _answer(found)


def _answer(found: "object") -> tuple[float, ...] | None:
    x, status = getattr(found, "x", None), getattr(found, "status", None)
    if x is not None and status in (0, 1):
        return tuple(float(each) for each in x)
    if status == _INFEASIBLE:
        return None
    raise NotSolved(str(getattr(found, "message", "")))
