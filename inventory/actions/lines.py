"""Market classes and lines: entered, renamed and merged so that every old name and label still finds its line."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.models import User

from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Typed
from inventory.actions.drafts import Draft
from inventory.actions.origin import NameTaken, entered, plan_each, read_name
from inventory.actions.posting import post, post_all
from inventory.actions.reader import Reader, sure
from inventory.models import Cross, Identity, Line, LineName, MarketClass, Plot, Standing, Station
from inventory.queries.finding import find_class
from inventory.queries.pedigrees import descends_from
from inventory.rules.codes import Vocabulary
from inventory.rules.mistakes import Mistake, Question

LONGEST_NAME = 80
LONGEST_CLASS = 60


class NameAlike(Question):
    """A new name that reads like a known one."""

    code = "name_alike"

    def __init__(self, name: str, known: str) -> None:
        super().__init__(
            f"{name} reads like {known}, which is in the books. Is it another line? Then say why.",
            field="name", proposal=known,
        )  # fmt: skip


class OwnAncestor(Mistake):
    """A line would descend from itself."""

    code = "own_ancestor"

    def __init__(self, line: str, through: str) -> None:
        super().__init__(
            f"{line} is an ancestor of {through}, so it cannot descend from it. Check the parents.", field="line"
        )


class SameLine(Mistake):
    """A line cannot be merged into itself."""

    code = "same_line"

    def __init__(self, line: str) -> None:
        super().__init__(f"{line} is one line already. Name the other line.", field="into")


@dataclass(frozen=True, kw_only=True)
class NewLine:
    """A line as it was typed; a parent from outside has no cross."""

    name: str
    market_class: str = ""
    cross: str = ""
    synonyms: Sequence[str] = ()
    at: Typed = None


@action("origin")
def add_classes(
    names: Sequence[str], *, station: Station, by: User, key: str = "", at: Typed = None, now: datetime | None = None
) -> Booked:  # fmt: skip
    """Enter market classes; one that is in the books already changes nothing.

    Raises:
        Refused: a name is missing or too long.
    """
    desk = Desk(station, now)

    def plan(typed: str) -> Draft | None:
        reader = Reader(desk)
        moment = reader.when(at)
        name = read_name(reader, typed, "market_class", "navy", LONGEST_CLASS)
        if name and not MarketClass.objects.get_or_create(station=station, name=name)[1]:
            return None
        return entered(reader, {"record": "market class", "name": name}, by=by, at=moment, key=key)

    return Booked(tuple(post_all(plan_each(names, plan))))


@action("origin")
def add_line(
    line: NewLine, *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Enter one line: `add_lines` with one."""
    return add_lines([line], station=station, by=by, key=key, reason=reason, answers=answers, now=now)


@action("origin")
def add_lines(
    lines: Sequence[NewLine], *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Enter lines with their class, cross and synonyms; all or none.

    Raises:
        Refused: a name stands for a line already, or a class or cross is not known.
    """
    desk = Desk(station, now)
    known = Vocabulary(list(LineName.objects.filter(station=station).values_list("name", flat=True)), kind="line")
    drafts = plan_each(
        lines, lambda line: _plan_line(Reader(desk, answers), known, line, by=by, key=key, reason=reason)
    )
    return Booked(tuple(post_all(drafts)))


def _plan_line(reader: Reader, known: Vocabulary, asked: NewLine, *, by: User, key: str, reason: str) -> Draft:
    at = reader.when(asked.at)
    reader.note_typed(**vars(asked))
    names = [read_name(reader, typed, "name", "QN-2104", LONGEST_NAME) for typed in (asked.name, *asked.synonyms)]
    read = list(dict.fromkeys(name for name in names if name))
    _ask_about_names(reader, known, read)
    market_class = None
    if asked.market_class:
        market_class = reader.attempt(
            lambda: reader.desk.find(find_class, asked.market_class, "market_class", reader.notes)
        )
    cross = reader.cross(asked.cross) if asked.cross else None
    draft = entered(
        reader, {"record": "line", "name": read[0] if read else "", "names": read}, by=by, at=at, key=key, reason=reason
    )  # fmt: skip
    station = reader.desk.station
    line = Line.objects.create(station=station, name=read[0], market_class=market_class, cross=cross)
    LineName.objects.bulk_create(LineName(station=station, line=line, name=name) for name in read)
    return draft


def _ask_about_names(reader: Reader, known: Vocabulary, names: Sequence[str]) -> None:
    taken = LineName.objects.filter(station=reader.desk.station, name__in=names).select_related("line")
    reader.add(*(NameTaken("Line", row.name, "" if row.name == row.line.name else row.line.name) for row in taken))
    exact = {row.name for row in taken}
    for name in names:
        alike = [fit for fit in known.fits(name) if fit not in names]
        if name not in exact and alike:
            reader.add(NameAlike(name, alike[0]))


@action("origin")
def say_cross_of_line(
    line: str, cross: str, *, station: Station, by: User, reason: str = "", key: str = "", at: Typed = None,
    now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Say from which cross a line came, found out after the line was entered.

    Raises:
        Refused: the line would descend from itself, or one of the two is not known.
    """
    reader = Reader(Desk(station, now))
    moment, why = reader.when(at), reader.reason(reason, "a changed pedigree")
    found, came_from = reader.line(line), reader.cross(cross)
    if found and came_from and descends_from(came_from, found):
        reader.add(OwnAncestor(found.name, came_from.code))
    before = found.cross.code if found and found.cross else ""
    record = {"record": "line", "name": str(found), "cross": str(came_from), "cross_before": before}
    draft = entered(reader, record, by=by, at=moment, reason=why, key=key)
    Line.objects.filter(pk=sure(found).pk).update(cross=came_from)
    return Booked((post(draft),))


@action("rename")
def rename_line(
    line: str, to: str, *, station: Station, by: User, reason: str = "", key: str = "", at: Typed = None,
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Give a line another name; every name it ever had still finds it.

    Raises:
        Refused: the new name stands for another line.
    """
    reader = Reader(Desk(station, now), answers)
    moment, why = reader.when(at), reader.reason(reason, "a new name")
    found = reader.line(line)
    name = read_name(reader, to, "name", "QN-2104", LONGEST_NAME)
    if found and name:
        _ask_about_new_name(reader, found, name)
    record = {"record": "line", "name_before": found.name if found else "", "name": name}
    draft = entered(reader, record, kind="rename", by=by, at=moment, reason=why, key=key)
    Line.objects.filter(pk=sure(found).pk).update(name=name)
    LineName.objects.get_or_create(station=station, name=name, defaults={"line": sure(found)})
    return Booked((post(draft),))


def _ask_about_new_name(reader: Reader, line: Line, name: str) -> None:
    rows = list(LineName.objects.filter(station=line.station).values_list("name", "line_id", "line__name"))
    others = {known: stands for known, line_id, stands in rows if line_id != line.pk}
    if name == line.name:
        reader.add(SameName(name))
    elif name in others:
        reader.add(NameTaken("Line", name, others[name] if others[name] != name else ""))
    elif alike := Vocabulary(list(others), kind="line").fits(name):
        reader.add(NameAlike(name, alike[0]))


class SameName(Mistake):
    """The line is called so already."""

    code = "same_name"

    def __init__(self, name: str) -> None:
        super().__init__(f"The line is called {name} already. Write the new name.", field="name")


@action("rename")
def merge_lines(
    line: str, into: str, *, station: Station, by: User, reason: str = "", key: str = "", at: Typed = None,
    now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Say that two lines are one: plots, crosses and lots of the first go over to the second, and its names find it.

    Returns:
        The renaming and, where lots went over, their reassignment.

    Raises:
        Refused: they are one already, or one is an ancestor of the other.
    """
    reader = Reader(Desk(station, now))
    moment, why = reader.when(at), reader.reason(reason, "a merged line")
    one, other = reader.line(line), reader.line(into, "into")
    if one and other:
        reader.add(*_merge_mistakes(one, other))
    record = {"record": "line", "name": one.name if one else "", "merged_into": other.name if other else ""}
    merging = entered(reader, record, kind="rename", by=by, at=moment, reason=why, key=key)
    if one is None or other is None:
        raise AssertionError("finish() lets nothing unread through")
    rows = _lots_go_over(one, other)
    _records_go_over(one, other)
    operation = post(merging)
    if not rows:
        return Booked((operation,))
    facts = {"lots": [row.lot.number for row in rows], "merged_from": one.name}
    lots = Draft(
        kind="reassign", station=station, by=by, at=moment, reason=why, key=key, facts=facts, rows=rows, about=operation
    )  # fmt: skip
    return Booked((operation, post(lots)))


def _merge_mistakes(one: Line, other: Line) -> list[Mistake]:
    if one.pk == other.pk:
        return [SameLine(one.name)]
    for ancestor, descendant in ((one, other), (other, one)):
        if descendant.cross and descends_from(descendant.cross, ancestor):
            return [OwnAncestor(ancestor.name, descendant.name)]
    return []


def _records_go_over(one: Line, other: Line) -> None:
    Plot.objects.filter(line=one).update(line=other)
    Cross.objects.filter(female=one).update(female=other)
    Cross.objects.filter(male=one).update(male=other)
    LineName.objects.filter(line=one).update(line=other)
    Line.objects.filter(merged_into=one).update(merged_into=other)
    Line.objects.filter(pk=one.pk).update(merged_into=other)
    if other.cross_id is None and one.cross_id is not None:
        Line.objects.filter(pk=other.pk).update(cross=one.cross_id)


def _lots_go_over(one: Line, other: Line) -> list[Identity]:
    standings = Standing.objects.filter(line=one, made_by__isnull=False).select_related("lot").order_by("lot_id")
    return [
        Identity(
            station_id=standing.station_id, lot=standing.lot, line=other, market_class=other.market_class,
            opening_mg=standing.opening_mg, crop_year=standing.crop_year, generation=standing.generation,
        )
        for standing in standings
    ]  # fmt: skip
