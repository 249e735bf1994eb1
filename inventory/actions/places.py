"""Places, and containers with the tare that was last checked on the scale."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.models import User

from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Typed
from inventory.actions.drafts import Draft
from inventory.actions.origin import NameTaken, entered, plan_each, plan_named, read_name
from inventory.actions.posting import post, post_all
from inventory.actions.reader import Reader, sure
from inventory.models import Container, Place, Station

LONGEST_CODE = 20


@dataclass(frozen=True, kw_only=True)
class NewContainer:
    """A bin, box, tote or bag as it was typed."""

    code: str
    kind: str
    tare: Typed
    unit: str = "kg"
    checked_on: Typed = None
    at: Typed = None


@action("places")
def add_places(
    places: Mapping[str, str], *, station: Station, by: User, key: str = "", at: Typed = None,
    now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Enter places by code and name; one that is in the books under the same name changes nothing.

    Raises:
        Refused: a code stands for another place.
    """
    desk = Desk(station, now)

    def plan(named: tuple[str, str]) -> Draft | None:
        return plan_named(
            Reader(desk), Place, named, field="place", example="A-01", longest=LONGEST_CODE, by=by, at=at, key=key
        )

    return Booked(tuple(post_all(plan_each(places.items(), plan))))


@action("places")
def add_containers(
    containers: Sequence[NewContainer], *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Enter containers with their tares.

    Raises:
        Refused: a code stands for a container already, or a tare cannot be read.
    """
    desk = Desk(station, now)

    def plan(asked: NewContainer) -> Draft:
        reader = Reader(desk, answers)
        at = reader.when(asked.at)
        reader.note_typed(**vars(asked))
        code = read_name(reader, asked.code, "container", "B-07", LONGEST_CODE)
        kind = read_name(reader, asked.kind, "kind", "steel bin", 60)
        if code and Container.objects.filter(station=station, code=code).exists():
            reader.add(NameTaken("Container", code, field="container"))
        tare = reader.mass(asked.tare, "tare", asked.unit)
        checked = reader.when(asked.checked_on, "checked_on") if asked.checked_on else None
        day = reader.desk.local_day(checked) if checked else None
        mg = tare.mg if tare else 0
        record = {"record": "container", "code": code, "kind": kind, "tare_mg": mg, "checked_on": day}
        draft = entered(reader, record, by=by, at=at, key=key, reason=reason)
        Container.objects.create(station=station, code=code, kind=kind, tare_mg=mg, checked_on=day)
        return draft

    return Booked(tuple(post_all(plan_each(containers, plan))))


@action("places")
def check_tare(
    container: str, tare: Typed, *, station: Station, by: User, unit: str = "kg", checked_on: Typed = None,
    key: str = "", reason: str = "", now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Say what an empty container weighed on the scale; later deliveries take this tare, earlier ones stay.

    Raises:
        Refused: the container is not known or the tare cannot be read.
    """
    reader = Reader(Desk(station, now))
    reader.note_typed(container=container, tare=tare)
    at, found = reader.when(checked_on, "checked_on"), reader.container(container)
    mass = reader.mass(tare, "tare", unit)
    mg, day = mass.mg if mass else 0, reader.desk.local_day(at)
    before = found.tare_mg if found else 0
    record = {
        "record": "container", "code": str(found), "tare_mg": mg, "tare_mg_before": before, "checked_on": day
    }  # fmt: skip
    draft = entered(reader, record, by=by, at=at, key=key, reason=reason)
    Container.objects.filter(pk=sure(found).pk).update(tare_mg=mg, checked_on=day)
    return Booked((post(draft),))
