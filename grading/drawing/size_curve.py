"""A size curve: how much passes each opening, over the band of the line's other lots; sizes across, per cent up."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

WIDTH, HEIGHT = 500, 260
LEFT, RIGHT, TOP, BOTTOM = 44, 492, 12, 216  # the field that is drawn in


@dataclass(frozen=True)
class Tick:
    """A screen under the curve."""

    x: float
    words: str


@dataclass(frozen=True)
class Curve:
    """A curve as it is drawn [units].

    Attributes:
        line: points of the lot's own curve, "x,y x,y".
        dots: (x, y) of each.
        band: the outline of the line's other lots; "" where there are none.
        ticks: the screens.
    """

    line: str
    dots: tuple[tuple[float, float], ...]
    band: str
    ticks: tuple[Tick, ...]


def curve(points: Sequence[tuple[float, float, str]], past: Mapping[float, tuple[float, float]]) -> Curve:
    """Lay a curve out.

    Args:
        points: opening [mm], what passed it [%], its name; the narrowest first.
        past: opening [mm] -> the least and the most that passed in other lots [%].
    """
    sizes = [mm for mm, _passed, _words in points]
    low, high = min(sizes), max(sizes)
    wide = (high - low) or 1.0
    at = {mm: LEFT + (mm - low) / wide * (RIGHT - LEFT) for mm in sizes}
    dots = tuple((at[mm], _y(passed)) for mm, passed, _words in points)
    known = [mm for mm in sizes if mm in past]
    outline = [(at[mm], _y(past[mm][1])) for mm in known] + [(at[mm], _y(past[mm][0])) for mm in reversed(known)]
    ticks = tuple(Tick(at[mm], words) for mm, _passed, words in points)
    return Curve(_joined(dots), dots, _joined(outline) if len(known) > 1 else "", ticks)


def _y(percent: float) -> float:
    return BOTTOM - percent / 100 * (BOTTOM - TOP)


def _joined(points: Sequence[tuple[float, float]]) -> str:
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
