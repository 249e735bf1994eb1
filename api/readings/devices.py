"""Enter devices, change them and end them; how each was before is kept beside it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.contrib.auth.models import User
from django.db import transaction

from api.readings.drivers import drivers
from api.readings.models import LONGEST_CODE, Device, DeviceChange
from api.readings.parsing import DeviceUnknown, parse_aside
from api.readings.texts import of_line
from api.tokens import end_keys_of
from inventory.actions.acting import require
from inventory.importing.words import UnknownWord
from inventory.models import Station
from inventory.rules.mass import MG_PER_UNIT, read_unit
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.reading import UNKEPT, quoted

LONGEST_NAME = 80


class DeviceDiffers(Mistake):
    """A device that is there with other words."""

    code = "device_differs"

    def __init__(self, device: Device) -> None:
        super().__init__(
            f"{quoted(device.code)} is entered already, as {quoted(device.name)} with the driver {device.driver} and "
            f"{device.unit or 'no unit'}. Change it with PATCH /api/v1/devices/{device.code}, or give another device "
            "another code.",
            field="code",
        )


@dataclass(frozen=True, kw_only=True)
class DeviceWords:
    """A device as it is entered."""

    code: str = field(metadata={"looks": "as the device calls itself in device_id"})
    driver: str = field(metadata={"looks": "scale, or a driver that a plugin brings"})
    name: str = field(default="", metadata={"looks": "what people call it"})
    unit: str = field(default="", metadata={"looks": "what its masses mean where they name no unit, such as kg"})


@dataclass(frozen=True, kw_only=True)
class DeviceOtherwise:
    """What is to be otherwise with a device; what is left out stays."""

    name: str | None = field(default=None, metadata={"looks": "what people call it"})
    driver: str | None = field(default=None, metadata={"looks": "what reads it from now on"})
    unit: str | None = field(default=None, metadata={"looks": "of masses that name none, from now on; empty for none"})
    ended: bool | None = field(
        default=None, metadata={"looks": "true: nothing more is taken from it, and its keys end; false: it sends again"}
    )


def enter_device(words: DeviceWords, *, station: Station, by: User, now: datetime) -> tuple[Device, bool]:
    """Enter a device, and read what it sent before; one that was ended is taken up again.

    Returns:
        The device, and whether it is new; the same words again are the same device.

    Raises:
        Refused: words that cannot be, a code that is another device's, or no right to it.
    """
    require(by, "device", station)
    mistakes = of_line("code", words.code, LONGEST_CODE)
    own = _judged(station, {"name": words.name or words.code, "driver": words.driver, "unit": words.unit}, mistakes)
    with transaction.atomic():
        device, is_new = Device.objects.select_for_update().get_or_create(
            station=station, code=words.code, defaults={**own, "by": by, "made_at": now}
        )  # fmt: skip
        if is_new:
            _keep_change(device, by, now)
        elif device.ended_at is not None:
            _put(device, {**own, "ended_at": None}, by, now)
        elif any(getattr(device, name) != value for name, value in own.items()):
            raise Refused([DeviceDiffers(device)])
    parse_aside(device, now)
    return device, is_new


def change_device(
    device: Device, words: DeviceOtherwise, *, by: User, now: datetime, seen: Callable[[Device], None] | None = None
) -> Device:
    """Change a device, end it or take it up again; what was read before stays as it was read.

    Args:
        seen: is shown the device as it stands, while nobody else can change it, and may refuse.

    Raises:
        Refused: words that cannot be, or no right to it.
    """
    require(by, "device", device.station)
    said = {name: getattr(words, name) for name in ("name", "driver", "unit") if getattr(words, name) is not None}
    own = _judged(device.station, said)
    with transaction.atomic():
        now_so = Device.objects.select_for_update(of=("self",)).select_related("station").get(pk=device.pk)
        if seen is not None:
            seen(now_so)
        if words.ended is not None:
            own["ended_at"] = (now_so.ended_at or now) if words.ended else None
        _put(now_so, own, by, now)
        if now_so.ended_at is not None:
            end_keys_of(now_so, now)
    parse_aside(now_so, now)
    return now_so


def device_named(code: str, station: Station) -> Device:
    """Find a device by its code.

    Raises:
        Refused: there is none of that code at the station.
    """
    found = device_at(code, station)
    if found is None:
        raise Refused([DeviceUnknown(code)])
    return found


def device_at(code: str, station: Station) -> Device | None:
    """Find a device by its code, whatever was typed for one."""
    if UNKEPT.search(code):
        return None
    return Device.objects.filter(station=station, code=code).select_related("station").first()


def _judged(station: Station, said: dict[str, Any], wrong: Sequence[Mistake] = ()) -> dict[str, Any]:
    """Read what was said of a device.

    Raises:
        Refused: some of it cannot be.
    """
    mistakes = [*wrong, *(of_line("name", said["name"], LONGEST_NAME) if "name" in said else ())]
    if "driver" in said and said["driver"] not in (known := drivers(station.code)):
        mistakes.append(UnknownWord("driver", said["driver"], known, field="driver"))
    unit = read_unit(said["unit"]) if said.get("unit") else ""
    if unit is None:
        mistakes.append(UnknownWord("unit of mass", said["unit"], list(MG_PER_UNIT), field="unit"))
    if mistakes:
        raise Refused(mistakes)
    return {**said, "unit": unit} if "unit" in said else dict(said)


def _put(device: Device, own: dict[str, Any], by: User, now: datetime) -> None:
    """Write what is otherwise, with how it is now beside it; nothing where nothing is."""
    if all(getattr(device, name) == value for name, value in own.items()):
        return
    for name, value in own.items():
        setattr(device, name, value)
    device.save(update_fields=list(own))
    _keep_change(device, by, now)


def _keep_change(device: Device, by: User, now: datetime) -> None:
    DeviceChange.objects.create(
        station=device.station, device=device, at=now, by=by, name=device.name, driver=device.driver, unit=device.unit,
        is_ended=device.ended_at is not None,
    )  # fmt: skip
