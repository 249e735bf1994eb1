"""Ask the driver of a device what a text says: our own for scales, and those that plugins bring."""

from decimal import Decimal
from typing import Any

from api.readings.models import Device
from hilum.plugins.facts import DeviceReading
from hilum.plugins.host import ReadingUnread, the_host
from inventory.rules.mass import MG_PER_UNIT, kg_text, read_mass, read_unit, to_mg
from inventory.rules.mistakes import Mistake
from inventory.rules.scale import weighed_as

SCALE = "scale"
_FRAME = "\x02\x03\r\n"  # STX and ETX, between which many devices put a text; common practice, no source


def drivers(station: str) -> list[str]:
    """Name the drivers of a station, ours first."""
    return [SCALE, *(name for name in the_host().device_drivers(station) if name != SCALE)]


def read_text(device: Device, raw: str) -> list[dict[str, Any]]:
    """Read what a device sent.

    Returns:
        Each value exact, with the unit it was sent in; masses also in kilograms.

    Raises:
        KeyError: its driver is not here now.
        ReadingUnread: nothing in it may be believed; the text says why.
    """
    if device.driver == SCALE:
        return [_of_scale(raw, device.unit)]
    read = the_host().read_device(device.driver, raw, device.station.code)
    return [_of_plugin(one, device.unit) for one in read]


def _of_scale(raw: str, unit: str) -> dict[str, Any]:
    text = raw.strip(f" {_FRAME}")
    try:
        read = read_mass(text, unit=unit or None, field="raw")
    except Mistake as mistake:
        raise ReadingUnread(mistake.says) from mistake
    return _value("mass", read.amount, read.unit, kg_text(read.mg), weighed_as=weighed_as(text))


def _of_plugin(read: DeviceReading, agreed: str) -> dict[str, Any]:
    """Write a value; one that is no number, or that is too large for the books, is not believed."""
    unit = read.unit or (agreed if read.quantity == "mass" else "")
    if not isinstance(read.value, Decimal) or not read.value.is_finite() or abs(read.value.adjusted()) > 15:
        raise ReadingUnread(f"The driver read {str(read.value)[:40]!r} as {read.quantity}, which is no number to keep.")
    found = read_unit(unit) if read.quantity == "mass" else None
    kg = kg_text(to_mg(read.value, MG_PER_UNIT[found])) if found else None
    return _value(read.quantity, read.value, unit, kg, is_stable=read.is_stable)


def _value(quantity: str, value: Decimal, unit: str, kg: str | None, **more: Any) -> dict[str, Any]:
    in_kg = {"kg": kg} if kg is not None else {}
    return {"quantity": quantity, "value": f"{value:f}", "unit": unit, **in_kg, **more}
