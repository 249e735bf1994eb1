"""What pages show of devices and their readings: how each does, its newest texts, the mass that was sent last."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from django.db.models import Count, F, OuterRef, Q, QuerySet, Subquery

from api.readings.drivers import SCALE
from api.readings.models import Device, Reading
from api.readings.parsing import with_newest
from inventory.models import Station
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import quoted
from inventory.rules.scale import StillMoving, TaredByScale

UNREAD_FOR = timedelta(days=7)
AT_HAND_FOR = timedelta(minutes=10)  # as long as seed may stand on the scale between its key and ours
AHEAD = timedelta(minutes=2)  # by which a device's clock may be before ours
_NOT_READ = Q(newest__isnull=True) | Q(newest__unread__gt="")


class NothingSent(Mistake):
    """No scale sent anything of late."""

    code = "nothing_sent"

    def __init__(self) -> None:
        minutes = AT_HAND_FOR.seconds // 60
        super().__init__(f"No scale sent a mass in the last {minutes} minutes. Press its key, or type what it shows.")


class NotRead(Mistake):
    """The newest text of the scales is no mass that can be believed."""

    code = "sent_not_read"

    def __init__(self, device: str, why: str) -> None:
        super().__init__(f"What {device} sent last is not taken. {why}")


@dataclass(frozen=True)
class DeviceShown:
    """A device; how many of its texts of the last week nobody could read."""

    device: Device
    last: Reading | None
    unread: int


@dataclass(frozen=True)
class Sent:
    """A mass that a scale sent: as a person would type it, from where and when."""

    device: str
    taken_at: datetime
    text: str


def devices_shown(station: Station, since: datetime) -> tuple[list[DeviceShown], dict[str, int]]:
    """List devices, those in use first, each with its newest text (3 queries).

    Args:
        since: texts that came before are not counted.

    Returns:
        The devices, and of devices that nobody entered how many texts wait for it: code -> count.
    """
    unread = _unread(station, since)
    newest = Reading.objects.filter(station=station, device=OuterRef("code")).order_by("-pk").values("pk")[:1]
    devices = list(Device.objects.filter(station=station).annotate(last=Subquery(newest)).order_by("code"))
    last = Reading.objects.in_bulk([key for one in devices if (key := getattr(one, "last", None))])
    shown = [DeviceShown(one, last.get(getattr(one, "last", None)), unread.pop(one.code, 0)) for one in devices]
    return sorted(shown, key=lambda one: one.device.ended_at is not None), unread


def readings_shown(
    station: Station, *, device: str = "", is_unread: bool = False, before: UUID | None = None
) -> "QuerySet[Reading]":
    """List readings, the newest first, each joined with what was read in it.

    Args:
        device: of this one alone.
        is_unread: only those in which nothing was read.
        before: only those that came before this one.
    """
    found = with_newest(Reading.objects.filter(station=station))
    found = found.filter(device=device) if device else found
    found = found.filter(_NOT_READ) if is_unread else found
    found = found.filter(uid__lt=before) if before else found  # their ids run with the time
    read = {"driver": F("newest__driver"), "values_read": F("newest__values"), "unread": F("newest__unread")}
    return found.annotate(**read).order_by("-uid")


def scales_of(station: Station) -> list[Device]:
    """List the devices in use that send masses (1 query)."""
    of_masses = Q(driver=SCALE) | ~Q(unit="")
    return list(Device.objects.filter(of_masses, station=station, ended_at__isnull=True))


def mass_sent(station: Station, scales: list[Device], field: str, now: datetime) -> Sent:
    """Give the mass that a scale sent last, if that was a short while ago (1 query).

    Args:
        field: where it is to go; a net weight is refused in "gross".

    Raises:
        NothingSent, NotRead: there is none that may be taken.
    """
    names = {device.code: device.name for device in scales}
    of_late = {"received_at__gte": now - AT_HAND_FOR, "taken_at__range": (now - AT_HAND_FOR, now + AHEAD)}
    found = readings_shown(station).filter(device__in=names, **of_late).order_by("-taken_at", "-uid").first()
    if found is None:
        raise NothingSent
    name = names[found.device]
    return Sent(name, found.taken_at, _mass_in(found, name, field))


def _mass_in(reading: Reading, device: str, field: str) -> str:
    """Write the one mass in a reading as a person would type it."""
    if why := getattr(reading, "unread", ""):
        raise NotRead(device, why)
    masses = [value for value in getattr(reading, "values_read", None) or [] if value.get("quantity") == "mass"]
    if len(masses) != 1:
        raise NotRead(device, f"{quoted(reading.raw.strip())} holds {len(masses)} masses. Type what it shows.")
    text = f"{masses[0]['value']} {masses[0]['unit']}"
    if masses[0].get("is_stable") is False:
        raise NotRead(device, StillMoving(text).says)
    if field == "gross" and masses[0].get("weighed_as") == "net":
        raise NotRead(device, TaredByScale(text, field=field).says)
    return text


def _unread(station: Station, since: datetime) -> dict[str, int]:
    found = with_newest(Reading.objects.filter(station=station, received_at__gte=since)).filter(_NOT_READ)
    return dict(found.order_by().values_list("device").annotate(Count("pk", distinct=True)))
