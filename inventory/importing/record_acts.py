"""Acts whose actions take more than one bundle of words, in the one shape that general doors call.

Each words class stands beside its act; `acts.py` lists them among the others.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, fields
from datetime import datetime
from typing import Any

from django.contrib.auth.models import User

from inventory.actions.acting import Booked
from inventory.actions.correcting import correct_deliveries
from inventory.actions.desk import Typed
from inventory.actions.drafting import book_draft, park_draft
from inventory.actions.drilling import keep_drill
from inventory.actions.holding import hold, lift
from inventory.actions.lines import add_classes, merge_lines, rename_line, say_cross_of_line
from inventory.actions.people import add_person, change_role
from inventory.actions.places import add_places, check_tare
from inventory.actions.plots import add_sites
from inventory.actions.promising import release_promise
from inventory.actions.receiving import Delivery
from inventory.models import Operation, Station
from inventory.queries.finding_acts import find_act
from inventory.rules.mistakes import Mistake, Refused

Do = Callable[..., Booked]


@dataclass(frozen=True, kw_only=True)
class Holding:
    """A hold as it was typed."""

    lots: Sequence[str]
    with_descendants: bool = False
    at: Typed = None


@dataclass(frozen=True, kw_only=True)
class Lifting:
    """The lifting of a lot's holds as it was typed."""

    lot: Typed
    with_descendants: bool = False
    at: Typed = None


@dataclass(frozen=True, kw_only=True)
class Drill:
    """What the recall question is asked about, to be kept."""

    ref: str


@dataclass(frozen=True, kw_only=True)
class Renaming:
    """A line's new name."""

    line: str
    to: str = field(metadata={"looks": "the new name; the old one still finds the line"})
    at: Typed = None


@dataclass(frozen=True, kw_only=True)
class Merging:
    """Two lines that are one."""

    line: str
    into: str = field(metadata={"looks": "the line whose name stays"})
    at: Typed = None


@dataclass(frozen=True, kw_only=True)
class CameFrom:
    """A line and the cross it came from, found out later."""

    line: str
    cross: str
    at: Typed = None


@dataclass(frozen=True, kw_only=True)
class Named:
    """A code with its name: a site or a place."""

    code: str = field(metadata={"looks": "its code, as it stands on labels and in lists"})
    name: str = field(default="", metadata={"looks": "what people call it"})
    at: Typed = None


@dataclass(frozen=True, kw_only=True)
class ClassName:
    """A market class."""

    name: str
    at: Typed = None


@dataclass(frozen=True, kw_only=True)
class Tare:
    """What an empty container weighed."""

    container: str
    tare: Typed
    unit: str = "kg"
    checked_on: Typed = None


@dataclass(frozen=True, kw_only=True)
class Person:
    """A person and a role."""

    name: str = field(metadata={"looks": "the name to sign in with"})
    role: str
    at: Typed = None


@dataclass(frozen=True, kw_only=True)
class LetGo:
    """A promise that is let go, named by its act."""

    act: Typed
    at: Typed = None


@dataclass(frozen=True, kw_only=True)
class DraftNumber:
    """A run that was filled and is booked, or booked and left open."""

    number: str = field(metadata={"looks": "a run that is being filled, such as R14"})


@dataclass(frozen=True, kw_only=True)
class Correction(Delivery):
    """A delivery as it should have been typed, and the act, or the lot, that is corrected."""

    act: Typed


def _without_answers(act: Callable[[Any, dict[str, Any]], Booked]) -> Do:
    """Turn an act that asks nothing into the common shape."""

    def do(
        words: Any, *, station: Station, by: User, key: str = "", reason: str = "",
        answers: Mapping[str, str] | None = None, now: datetime | None = None,  # noqa: ARG001 - it asks nothing
    ) -> Booked:  # fmt: skip
        return act(words, {"station": station, "by": by, "key": key, "reason": reason, "now": now})

    return do


def _no_reason(asked: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in asked.items() if name != "reason"}


def _act_of(station: Station, typed: Typed) -> Operation:
    try:
        return find_act(station, typed)
    except Mistake as mistake:
        raise Refused([mistake]) from None


def _correct(words: Correction, *, station: Station, **asked: Any) -> Booked:
    better = Delivery(**{field.name: getattr(words, field.name) for field in fields(Delivery)})
    return correct_deliveries([(_act_of(station, words.act), better)], station=station, **asked)


def _let_go(words: LetGo, asked: dict[str, Any]) -> Booked:
    return release_promise(_act_of(asked["station"], words.act), at=words.at, **asked)


def _rename(words: Renaming, **asked: Any) -> Booked:
    return rename_line(words.line, words.to, at=words.at, **asked)


RECORD_ACTS: dict[str, tuple[type[Any], Do]] = {
    "hold": (
        Holding,
        _without_answers(lambda words, asked: hold(
            words.lots, with_descendants=words.with_descendants, at=words.at, **asked)),
    ),
    "lift": (
        Lifting,
        _without_answers(lambda words, asked: lift(
            words.lot, with_descendants=words.with_descendants, at=words.at, **asked)),
    ),
    "drill": (Drill, _without_answers(lambda words, asked: keep_drill(words.ref, **asked))),
    "release promise": (LetGo, _without_answers(_let_go)),
    "book draft": (DraftNumber, lambda words, **asked: book_draft(words.number, **asked)),
    "park draft": (DraftNumber, lambda words, **asked: park_draft(words.number, **asked)),
    "correct": (Correction, _correct),
    "rename": (Renaming, _rename),
    "merge": (
        Merging, _without_answers(lambda words, asked: merge_lines(words.line, words.into, at=words.at, **asked)),
    ),
    "came from": (
        CameFrom,
        _without_answers(lambda words, asked: say_cross_of_line(words.line, words.cross, at=words.at, **asked)),
    ),
    "add class": (
        ClassName, _without_answers(lambda words, asked: add_classes([words.name], at=words.at, **_no_reason(asked))),
    ),
    "add site": (
        Named,
        _without_answers(lambda words, asked: add_sites({words.code: words.name}, at=words.at, **_no_reason(asked))),
    ),
    "add place": (
        Named,
        _without_answers(lambda words, asked: add_places({words.code: words.name}, at=words.at, **_no_reason(asked))),
    ),
    "check tare": (
        Tare,
        _without_answers(lambda words, asked: check_tare(
            words.container, words.tare, unit=words.unit, checked_on=words.checked_on, **asked)),
    ),
    "add person": (
        Person, _without_answers(lambda words, asked: add_person(words.name, words.role, at=words.at, **asked)),
    ),
    "change role": (
        Person, _without_answers(lambda words, asked: change_role(words.name, words.role, at=words.at, **asked)),
    ),
}  # fmt: skip
