"""Crosses, female first, and the crossing log."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.models import User

from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Typed
from inventory.actions.drafts import Draft
from inventory.actions.origin import NameTaken, entered, plan_each, read_name
from inventory.actions.posting import post_all
from inventory.actions.reader import Reader
from inventory.models import Cross, Line, LineName, Pollination, Station
from inventory.queries.finding import find_cross, find_line
from inventory.rules.codes import CodeUnknown, Vocabulary
from inventory.rules.crossing import pollination_mistakes
from inventory.rules.mistakes import Mistake, Note, Question
from inventory.rules.reading import listed, quoted

LONGEST_CODE = 40
LONGEST_LINE = 80


class NewParent(Note):
    """A parent that was not known and is entered as a line from outside."""

    code = "new_parent"

    def __init__(self, name: str) -> None:
        super().__init__(f"{name} is new here: entered as a line from outside, without a cross.", field="parent")


class ParentAlike(Question):
    """A parent that is not known, but reads like one that is."""

    code = "parent_alike"

    def __init__(self, typed: str, near: Sequence[str]) -> None:
        super().__init__(
            f"{quoted(typed)} is neither a line nor a cross we know. Did you mean {listed(list(near))}? "
            "If it is a new parent from outside, say so.",
            field="parent", proposal=near[0],
        )  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class NewCross:
    """A cross as it was typed: each parent a line, or the code of an earlier cross."""

    code: str
    female: str
    male: str
    at: Typed = None


@dataclass(frozen=True, kw_only=True)
class Pollinated:
    """One entry of the crossing log as it was typed."""

    cross: str
    buds: int
    pods: int = 0
    seeds: int = 0
    at: Typed = None


@action("origin")
def add_cross(
    cross: NewCross, *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Enter one cross: `add_crosses` with one."""
    return add_crosses([cross], station=station, by=by, key=key, reason=reason, answers=answers, now=now)


@action("origin")
def add_crosses(
    crosses: Sequence[NewCross], *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Enter crosses in the order in which they were made; a parent that is new becomes a line from outside.

    Raises:
        Refused: a code stands for a cross already, or a parent may be a slip for a known one.
    """
    desk = Desk(station, now)
    drafts = plan_each(crosses, lambda cross: _plan_cross(Reader(desk, answers), cross, by, key, reason))
    return Booked(tuple(post_all(drafts)))


def _plan_cross(reader: Reader, asked: NewCross, by: User, key: str, reason: str) -> Draft:
    station = reader.desk.station
    at = reader.when(asked.at)
    reader.note_typed(**vars(asked))
    code = read_name(reader, asked.code, "cross", "Q19-04", LONGEST_CODE)
    if code and Cross.objects.filter(station=station, code=code).exists():
        reader.add(NameTaken("Cross", code, field="cross"))
    female, male = _parent(reader, asked.female, "female"), _parent(reader, asked.male, "male")
    record = {"record": "cross", "code": code, "female": str(female), "male": str(male)}
    draft = entered(reader, record, by=by, at=at, key=key, reason=reason)
    Cross.objects.create(
        station=station, code=code,
        female=female if isinstance(female, Line) else None, male=male if isinstance(male, Line) else None,
        female_cross=female if isinstance(female, Cross) else None,
        male_cross=male if isinstance(male, Cross) else None,
    )  # fmt: skip
    return draft


def _parent(reader: Reader, typed: str, side: str) -> Line | Cross | None:
    """Find a parent among crosses and lines; a new name is entered as a line from outside."""
    name = read_name(reader, typed, side, "QN-2104", LONGEST_LINE)
    if not name:
        return None
    for find in (find_line, find_cross):
        try:
            found, notes = find(reader.desk.station, name, field=side)
        except CodeUnknown:
            continue
        except Mistake as mistake:
            reader.add(mistake)
            return None
        reader.notes.extend(notes)
        return found
    return _from_outside(reader, name)


def _from_outside(reader: Reader, name: str) -> Line:
    station = reader.desk.station
    known = [*LineName.objects.filter(station=station).values_list("name", flat=True)]
    known += Cross.objects.filter(station=station).values_list("code", flat=True)
    if near := Vocabulary(known).near(name):
        reader.add(ParentAlike(name, near))
    reader.notes.append(NewParent(name))
    line = Line.objects.create(station=station, name=name)
    LineName.objects.create(station=station, line=line, name=name)
    return line


@action("pollinate")
def log_pollinations(
    rows: Sequence[Pollinated], *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Enter pollinations into the crossing log, each a dated act of whoever did it.

    Raises:
        Refused: a cross is not known, or pods and buds do not fit together.
    """
    desk = Desk(station, now)
    drafts = plan_each(rows, lambda row: _plan_pollination(Reader(desk, answers), row, by, key, reason))
    return Booked(tuple(post_all(drafts)))


def _plan_pollination(reader: Reader, asked: Pollinated, by: User, key: str, reason: str) -> Draft:
    at = reader.when(asked.at)
    reader.note_typed(**vars(asked))
    cross = reader.cross(asked.cross)
    reader.add(*pollination_mistakes(asked.buds, asked.pods, asked.seeds))
    row = Pollination(
        station=reader.desk.station, cross=cross, buds_tried=asked.buds, pods_set=asked.pods, seeds_taken=asked.seeds
    )  # fmt: skip
    return entered(reader, {}, kind="pollinate", by=by, at=at, key=key, reason=reason, rows=(row,))
