"""Stations and the people who work at them."""

from datetime import datetime
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from django.contrib.auth.models import User
from django.db import transaction

from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Typed
from inventory.actions.origin import NameTaken, entered, read_name
from inventory.actions.posting import post
from inventory.actions.reader import Reader, sure
from inventory.models import ChainHead, Membership, Station
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.reading import listed, quoted
from inventory.rules.roles import RECORDS, ROLES

LONGEST_STATION, LONGEST_USER = 12, 150


class UnknownZone(Mistake):
    """A time zone that is in no table."""

    code = "unknown_zone"

    def __init__(self, zone: str) -> None:
        super().__init__(
            f"{quoted(zone)} is no time zone we know. Write it as America/Winnipeg or Etc/GMT+5.", field="zone"
        )


class UnknownRole(Mistake):
    """A role that nobody has."""

    code = "unknown_role"

    def __init__(self, role: str) -> None:
        super().__init__(f"{quoted(role)} is no role here. Use {listed(list(ROLES))}.", field="role")


class HasRole(Mistake):
    """The person has another role here."""

    code = "has_role"

    def __init__(self, person: str, role: str) -> None:
        super().__init__(f"{person} is {role} here. Change the role instead of adding the person.", field="role")


class LastOfRecords(Mistake):
    """Nobody would be left who can set things up."""

    code = "last_of_records"

    def __init__(self, person: str) -> None:
        super().__init__(
            f"{person} is the only one in records. Give somebody else that role first: it is what sets things up.",
            field="role",
        )


@transaction.atomic
def open_station(
    code: str, name: str, *, records: str, zone: str = "UTC", at: Typed = None, now: datetime | None = None
) -> Station:
    """Open a station with the head of its chain and its first person, who is of records.

    This is the one act without a `by`: before it nobody has a right anywhere, so whoever may run commands on the
    machine may open a station. The first act in its books is done by the person it names.

    Args:
        records: account of the first person; it is made, without a password, where there is none.
        zone: IANA name of the station's time zone.

    Raises:
        Refused: the code is taken, or the zone is not known.
    """
    mistakes: list[Mistake] = [] if _is_zone(zone) else [UnknownZone(zone)]
    before = Station.objects.filter(code=code.strip()).first()
    if before:
        mistakes.append(NameTaken("Station", before.code, before.name, field="station"))
    if mistakes:
        raise Refused(mistakes)
    station = Station(code=code.strip(), name=name, zone=zone)
    reader = Reader(Desk(station, now))
    moment = reader.when(at)
    read_name(reader, code, "station", "QM", LONGEST_STATION)
    username = read_name(reader, records, "records", "a user name", LONGEST_USER)
    reader.finish()
    station.save()
    ChainHead.objects.create(station=station)
    person = _person(username)
    Membership.objects.create(station=station, user=person, role=RECORDS)
    record = {"record": "station", "code": station.code, "name": name, "zone": zone, "records": username}
    post(entered(reader, record, by=person, at=moment))
    return station


def _is_zone(zone: str) -> bool:
    try:
        ZoneInfo(zone)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return False
    return True


def _person(username: str) -> User:
    return User.objects.filter(username=username).first() or User.objects.create_user(username)


@action("people")
def add_person(
    username: str, role: str, *, station: Station, by: User, key: str = "", reason: str = "", at: Typed = None,
    now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Give a person a role at the station; the account is made, without a password, where there is none.

    Returns:
        Nothing where the person has that role already.

    Raises:
        Refused: there is no such role, or the person has another one here.
    """
    reader = Reader(Desk(station, now))
    moment = reader.when(at)
    name = read_name(reader, username, "person", "a user name", LONGEST_USER)
    if role not in ROLES:
        reader.add(UnknownRole(role))
    before = Membership.objects.filter(station=station, user__username=name).first()
    if before and before.role == role:
        return Booked(())
    if before:
        reader.add(HasRole(name, before.role))
    draft = entered(
        reader, {"record": "person", "name": name, "role": role}, by=by, at=moment, key=key, reason=reason
    )  # fmt: skip
    Membership.objects.create(station=station, user=_person(name), role=role)
    return Booked((post(draft),))


@action("people")
def change_role(
    username: str, role: str, *, station: Station, by: User, reason: str = "", key: str = "", at: Typed = None,
    now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Give a person of the station another role.

    Raises:
        Refused: nobody is called so here, there is no such role, or nobody would be left in records.
    """
    reader = Reader(Desk(station, now))
    moment, why = reader.when(at), reader.reason(reason, "a changed role")
    member = Membership.objects.filter(station=station, user__username=username).select_related("user").first()
    if role not in ROLES:
        reader.add(UnknownRole(role))
    if member is None:
        reader.add(NotHere(username))
    elif member.role == RECORDS != role and not _others_in_records(member):
        reader.add(LastOfRecords(username))
    record = {"record": "person", "name": username, "role": role, "role_before": member.role if member else ""}
    draft = entered(reader, record, by=by, at=moment, key=key, reason=why)
    Membership.objects.filter(pk=sure(member).pk).update(role=role)
    return Booked((post(draft),))


class NotHere(Mistake):
    """Nobody of that name works at the station."""

    code = "not_here"

    def __init__(self, person: str) -> None:
        super().__init__(
            f"Nobody called {quoted(person)} works here. Check the name, or add the person.", field="person"
        )


def _others_in_records(member: Membership) -> bool:
    others = Membership.objects.filter(station=member.station, role=RECORDS, user__is_active=True)
    return others.exclude(pk=member.pk).exists()
