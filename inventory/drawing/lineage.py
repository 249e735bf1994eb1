"""Lineage as boxes in columns from left to right: sources before what came of them, folded by year where it is long."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

BOX_WIDTH, BOX_HEIGHT = 176, 44  # units of the drawing
ACROSS, DOWN = 248, 56  # from one box to the next
MOST_BOXES = 40  # of a picture that is not folded
_SWEEPS = 4
_WORDS_X, _WORDS_Y = 0.38, 0.28  # how far along a curve its words stand: a third of the way


@dataclass(frozen=True)
class Thing:
    """A lot, bag, plot, line … to be drawn.

    Args:
        id: its name; one thing each.
        note: the small line under it: "741.2 kg, 8 Oct 2024".
        year: by which it is folded; None where it has none.
        link: where a tap leads.
        is_asked: the picture is of this one; it is never folded.
    """

    id: str
    kind: str
    note: str = ""
    year: int | None = None
    link: str = ""
    is_asked: bool = False


@dataclass(frozen=True)
class Step:
    """A step from a source to what came of it.

    Args:
        words: written on it: a share, or the day of a correction.
    """

    source: str
    target: str
    words: str = ""
    is_correction: bool = False


@dataclass(frozen=True)
class Box:
    """A thing as it is drawn, or `count` of one kind and year together [units of the drawing]."""

    thing: Thing
    x: float
    y: float
    count: int = 1


@dataclass(frozen=True)
class Arrow:
    """A step as it is drawn."""

    path: str
    step: Step
    words_x: float
    words_y: float


@dataclass(frozen=True)
class Lineage:
    """Boxes and the arrows between them."""

    boxes: tuple[Box, ...]
    arrows: tuple[Arrow, ...]
    width: float
    height: float


def lay_out(things: Sequence[Thing], steps: Iterable[Step], *, most: int = MOST_BOXES) -> Lineage:
    """Lay a lineage out: every source stands left of what came of it.

    Args:
        things: each id once.
        steps: between them, without a loop; steps to or from others are left out.
        most: boxes past which things of one kind, year and column are drawn as one.
    """
    known = {thing.id: thing for thing in things}
    inside = [step for step in steps if step.source in known and step.target in known and step.source != step.target]
    column = _columns(known, inside)
    counts = dict.fromkeys(known, 1)
    if len(known) > most:
        known, inside, column, counts = _folded(known, inside, column)
    ways = {step: _way(step, column) for step in inside}
    rows = _rows(known, ways, column)
    tallest = max((len(row) for row in rows), default=1)
    places = {
        name: (ACROSS * at, DOWN * (place + (tallest - len(row)) / 2))
        for at, row in enumerate(rows)
        for place, name in enumerate(row)
    }
    boxes = tuple(Box(known[name], *at, counts[name]) for name, at in places.items() if name in known)
    arrows = tuple(_arrow(step, [places[name] for name in ways[step]]) for step in inside)
    width = ACROSS * (len(rows) - 1) + BOX_WIDTH if rows else BOX_WIDTH
    return Lineage(boxes, arrows, width, DOWN * (tallest - 1) + BOX_HEIGHT)


def _columns(known: Mapping[str, Thing], steps: Sequence[Step]) -> dict[str, int]:
    """Give each thing the length of the longest way to it; the books hold no loop, and one would end here too."""
    column = dict.fromkeys(known, 0)
    for _round in known:
        moved = False
        for step in steps:
            if column[step.target] <= column[step.source]:
                column[step.target] = column[step.source] + 1
                moved = True
        if not moved:
            break
    return _drawn_near(column, steps)


def _drawn_near(column: Mapping[str, int], steps: Sequence[Step]) -> dict[str, int]:
    """Draw what has no source of its own near to what first came of it."""
    has_source = {step.target for step in steps}
    first: dict[str, int] = {}
    for step in steps:
        first[step.source] = min(first.get(step.source, column[step.target]), column[step.target])
    return {name: at if name in has_source or name not in first else first[name] - 1 for name, at in column.items()}


def _folded(
    known: Mapping[str, Thing], steps: Sequence[Step], column: Mapping[str, int]
) -> tuple[dict[str, Thing], list[Step], dict[str, int], dict[str, int]]:  # fmt: skip
    """Draw all things of one kind, year and column as one; one alone stays itself."""
    groups: dict[tuple[object, ...], list[str]] = {}
    for name, thing in known.items():
        key: tuple[object, ...] = (name,) if thing.is_asked else (thing.kind, thing.year, column[name])
        groups.setdefault(key, []).append(name)
    into: dict[str, str] = {}
    things: dict[str, Thing] = {}
    counts: dict[str, int] = {}
    for members in groups.values():
        one = known[members[0]]
        if len(members) > 1:
            of = f" of {one.year}" if one.year else ""
            one = replace(one, id=f"{len(members)} {one.kind}s{of}", note="", link="")
            while one.id in things:
                one = replace(one, id=f"{one.id} ")
        things[one.id], counts[one.id] = one, len(members)
        into.update(dict.fromkeys(members, one.id))
    merged = {
        (into[step.source], into[step.target]): _merged(step, counts[into[step.target]], counts[into[step.source]])
        for step in steps
    }
    moved = [
        replace(step, source=source, target=target) for (source, target), step in merged.items() if source != target
    ]
    return things, moved, {into[name]: at for name, at in column.items()}, counts


def _merged(step: Step, *counts: int) -> Step:
    return step if max(counts) == 1 else replace(step, words="", is_correction=False)


def _way(step: Step, column: Mapping[str, int]) -> list[str]:
    """Give a step the room it needs: where it passes columns, a place of its own in each, so that it crosses no box."""
    between = range(column[step.source] + 1, column[step.target])
    return [step.source, *(f"{step.source}\n{step.target}\n{at}" for at in between), step.target]


def _rows(
    known: Mapping[str, Thing], ways: Mapping[Step, Sequence[str]], column: Mapping[str, int]
) -> list[list[str]]:  # fmt: skip
    """Order each column so that arrows cross little: each thing near the middle of what it hangs on."""
    rows: list[list[str]] = [[] for _ in range(max(column.values(), default=-1) + 1)]
    for name in known:
        rows[column[name]].append(name)
    for step, way in ways.items():
        for beyond, name in enumerate(way[1:-1], 1):
            if name not in rows[column[step.source] + beyond]:
                rows[column[step.source] + beyond].append(name)
    rows = [row for row in rows if row]
    sources, targets = _sides(ways.values())
    for sweep in range(_SWEEPS):
        beside = sources if sweep % 2 == 0 else targets
        place = {name: at - len(row) / 2 for row in rows for at, name in enumerate(row)}
        for row in rows if sweep % 2 == 0 else reversed(rows):
            row.sort(key=lambda name: _middle([place[other] for other in beside.get(name, ())], place[name]))
            place.update({name: at - len(row) / 2 for at, name in enumerate(row)})
    return rows


def _sides(ways: Iterable[Sequence[str]]) -> tuple[dict[str, list[str]], dict[str, list[str]]]:
    sources: dict[str, list[str]] = {}
    targets: dict[str, list[str]] = {}
    for way in ways:
        for source, target in pairwise(way):
            sources.setdefault(target, []).append(source)
            targets.setdefault(source, []).append(target)
    return sources, targets


def _middle(places: Sequence[float], own: float) -> float:
    return sum(places) / len(places) if places else own


def _arrow(step: Step, stops: Sequence[tuple[float, float]]) -> Arrow:
    """Draw a step as a curve through its places; its words stand where it leaves its source."""
    x, y = stops[0][0] + BOX_WIDTH, stops[0][1] + BOX_HEIGHT / 2
    path, words = f"M{x:.1f} {y:.1f}", (0.0, 0.0)
    for place, (to_x, top) in enumerate(stops[1:], 2):
        to_y, middle = top + BOX_HEIGHT / 2, (x + to_x) / 2
        path += f"C{middle:.1f} {y:.1f} {middle:.1f} {to_y:.1f} {to_x:.1f} {to_y:.1f}"
        if place == 2:
            words = (x + (to_x - x) * _WORDS_X, y + (to_y - y) * _WORDS_Y - 4)
        x, y = to_x, to_y
        if place < len(stops):
            x += BOX_WIDTH
            path += f"H{x:.1f}"
    return Arrow(path, step, *words)
