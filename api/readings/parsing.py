"""Have kept texts read, the first time and again: each time a row of its own, of which the newest counts."""

import time
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.contrib.auth.models import User
from django.db.models import FilteredRelation, OuterRef, Q, QuerySet, Subquery

from api.readings.drivers import read_text
from api.readings.models import Device, Reading, ReadingParse
from hilum.plugins.host import ReadingUnread
from inventory.actions.acting import require
from inventory.models import Station
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.reading import quoted

MOST_AT_ONCE = 100  # readings
_TIME_AT_ONCE = 20.0  # seconds, since each may ask a plugin that takes its time


class DeviceUnknown(Mistake):
    """A reading of a device that nobody entered."""

    code = "device_unknown"

    def __init__(self, code: str) -> None:
        super().__init__(
            f"Nobody entered the device {quoted(code)}, so nothing says how to read it. Enter it with POST "
            "/api/v1/devices; what it sent is read then.",
        )


class DeviceEnded(Mistake):
    """A device from which nothing more is taken."""

    code = "device_ended"

    def __init__(self, device: Device) -> None:
        ended = f" on {device.ended_at:%Y-%m-%d}" if device.ended_at else ""
        super().__init__(
            f"The device {quoted(device.code)} was ended{ended}, so nothing that it sent since is read. Take it up "
            f'again with PATCH /api/v1/devices/{device.code} and {{"ended": false}}; what was kept is read then.',
            field="device",
        )


class DriverAway(Mistake):
    """A device whose driver is not here now."""

    code = "driver_away"

    def __init__(self, device: Device) -> None:
        super().__init__(
            f"{quoted(device.code)} is read by the driver {quoted(device.driver)}, which is not here now. Switch its "
            "plugin on, or give the device another driver; what was read before stays.",
        )


@dataclass(frozen=True)
class ReadAgain:
    """What came of reading many again.

    Attributes:
        looked_at: how many; `changed` of them were read otherwise than before, `aside` could not be read now.
        last: the last that was looked at, where there may be more behind it.
    """

    looked_at: int
    changed: int
    aside: int
    last: Reading | None


def with_newest(readings: "QuerySet[Reading]") -> "QuerySet[Reading]":
    """Join each reading with what was read in it last, as `newest`."""
    last = ReadingParse.objects.filter(reading=OuterRef("pk")).order_by("-number").values("pk")[:1]
    return readings.annotate(newest=FilteredRelation("parses", condition=Q(parses__pk=Subquery(last))))


def parse(reading: Reading, device: Device, now: datetime) -> ReadingParse | None:
    """Have a kept text read, and keep what came of it unless that is what counted already.

    Returns:
        What counts now; None where the driver is not here, so that nothing new is known.
    """
    values: list[dict[str, Any]] = []
    unread = ""
    try:
        values = read_text(device, reading.raw)
    except KeyError:
        return None
    except ReadingUnread as why:
        unread = str(why).replace("\0", "?") or "The driver could not read it, and did not say why."
    own = {"driver": device.driver, "values": values, "unread": unread}
    newest = _newest(reading)
    if newest is not None and all(getattr(newest, name) == value for name, value in own.items()):
        return newest
    kept: ReadingParse = ReadingParse.objects.get_or_create(
        reading=reading, number=newest.number + 1 if newest else 1,
        defaults={**own, "station_id": reading.station_id, "device": device, "at": now},
    )[0]  # fmt: skip
    return kept


def parse_aside(device: Device, now: datetime) -> None:
    """Have read what a device sent before anybody could read it; of very many the rest waits till it is sent again."""
    if device.ended_at is not None:
        return
    aside = Reading.objects.filter(station=device.station, device=device.code, parses__isnull=True)
    for reading in aside.order_by("pk")[:MOST_AT_ONCE]:
        parse(reading, device, now)


def read_again(reading: Reading, *, by: User, now: datetime) -> bool:
    """Have one reading read by its device's driver as both are now; its text and what was read before stay.

    Returns:
        Whether it is read otherwise than before.

    Raises:
        Refused: nothing can read it now, or no right to it.
    """
    require(by, "device", reading.station)
    device = _devices(reading.station, [reading.device]).get(reading.device)
    if device is None:
        raise Refused([DeviceUnknown(reading.device)])
    before = _newest(reading)
    if before is None and device.ended_at is not None:
        raise Refused([DeviceEnded(device)])
    after = parse(reading, device, now)
    if after is None:
        raise Refused([DriverAway(device)])
    return after != before


def read_many_again(found: "QuerySet[Reading]", *, station: Station, by: User, now: datetime) -> ReadAgain:
    """Have many readings read again, newest first; it stops after a hundred, or when its time is up.

    Raises:
        Refused: no right to it.
    """
    require(by, "device", station)
    page = list(found.order_by("-pk").select_related("station")[: MOST_AT_ONCE + 1])
    done = _each_again(page[:MOST_AT_ONCE], _devices(station, {one.device for one in page}), now)
    last = page[len(done) - 1] if done and len(done) < len(page) else None
    return ReadAgain(len(done), done.count(True), done.count(None), last)


def _each_again(page: list[Reading], devices: dict[str, Device], now: datetime) -> list[bool | None]:
    """Say of each that was looked at whether it is read otherwise; None where it cannot be read now."""
    end, done = time.monotonic() + _TIME_AT_ONCE, []
    for reading in page:
        device, before = devices.get(reading.device), _newest(reading)
        is_aside = device is None or (before is None and device.ended_at is not None)
        after = None if device is None or is_aside else parse(reading, device, now)
        done.append(None if after is None else after != before)
        if time.monotonic() > end:
            break
    return done


def _newest(reading: Reading) -> ReadingParse | None:
    return ReadingParse.objects.filter(reading=reading).order_by("-number").first()


def _devices(station: Station, codes: Iterable[str]) -> dict[str, Device]:
    found = Device.objects.filter(station=station, code__in=set(codes)).select_related("station")
    return {device.code: device for device in found}
