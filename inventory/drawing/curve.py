"""A curve over the range of what was found before, with round numbers along its two sides."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import floor, log10

from hilum.plugins import Curve

WIDTH, HEIGHT = 500, 260  # units of the drawing
LEFT, TOP, RIGHT, FOOT = 44, 12, 12, 40  # room for the numbers beside the field
_STEPS = (1, 2, 5, 10)
_FEWEST = 3


@dataclass(frozen=True)
class Tick:
    """A round number beside the field [units of the drawing]."""

    at: float
    words: str


@dataclass(frozen=True)
class Drawn:
    """A curve as it is drawn [units of the drawing]."""

    line: str  # points of a polyline
    band: str  # points of a polygon; "" where nothing was found before
    dots: tuple[tuple[float, float], ...]
    across: tuple[Tick, ...]
    up: tuple[Tick, ...]


def draw_curve(curve: Curve) -> Drawn:
    """Lay a curve out; both sides end at the outermost number.

    Args:
        curve: two points or more.
    """
    xs = [float(x) for x, _y in curve.points] + [float(x) for x, _low, _high in curve.before]
    ys = [float(y) for _x, y in curve.points] + [float(y) for _x, *ends in curve.before for y in ends]
    x_ticks, y_ticks = round_numbers(min(xs), max(xs)), round_numbers(min(ys), max(ys))
    x_ends, y_ends = _ends(xs, x_ticks), _ends(ys, y_ticks)

    def x_at(x: float | Decimal) -> float:
        return LEFT + _part(float(x), x_ends) * (WIDTH - LEFT - RIGHT)

    def y_at(y: float | Decimal) -> float:
        return HEIGHT - FOOT - _part(float(y), y_ends) * (HEIGHT - TOP - FOOT)

    dots = tuple((x_at(x), y_at(y)) for x, y in curve.points)
    upper = [(x_at(x), y_at(high)) for x, _low, high in curve.before]
    lower = [(x_at(x), y_at(low)) for x, low, _high in reversed(curve.before)]
    return Drawn(
        _joined(dots), _joined([*upper, *lower]), dots,
        tuple(Tick(x_at(x), f"{x:g}") for x in x_ticks), tuple(Tick(y_at(y), f"{y:g}") for y in y_ticks),
    )  # fmt: skip


def round_numbers(low: float, high: float) -> tuple[float, ...]:
    """Give three to eight round numbers between two ends; where they are one, that alone."""
    width = high - low
    if not width:
        return (low,)
    power = 10.0 ** floor(log10(width / _FEWEST))
    step = max(size * power for size in _STEPS if size * power <= width / _FEWEST * 1.0000001)
    first, last = floor(low / step + 0.9999999), floor(high / step + 1e-7)
    return tuple(round(index * step, 10) for index in range(first, last + 1))


def _ends(values: Sequence[float], ticks: Sequence[float]) -> tuple[float, float]:
    low, high = min([*values, *ticks]), max([*values, *ticks])
    return (low, high) if high > low else (low - 1, high + 1)


def _part(value: float, ends: tuple[float, float]) -> float:
    return (value - ends[0]) / (ends[1] - ends[0])


def _joined(points: Sequence[tuple[float, float]]) -> str:
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
