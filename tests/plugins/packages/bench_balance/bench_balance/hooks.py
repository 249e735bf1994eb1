"""The driver: `ST,GS,+  12.42 lb`, `US,NT,-   0.05 g`, or a bare `842.0 kg`."""

import re
from collections.abc import Sequence
from decimal import Decimal

from hilum.plugins import DeviceDriver, DeviceReading, hookimpl

LINE = re.compile(r"(?:(ST|US),(?:GS|NT),)?([+-]?) *(\d{1,9}(?:[.,]\d{1,6})?) *(g|kg|lb)", re.ASCII)


def parse(text: str) -> Sequence[DeviceReading]:
    """Read one line; a comma in a number is its decimal sign."""
    found = LINE.fullmatch(text.strip())
    if found is None:
        raise ValueError("This is no line of the balance. Set its output to the standard format, and weigh again.")
    stands, sign, number, unit = found.groups()
    return [DeviceReading("mass", Decimal(sign + number.replace(",", ".")), unit, is_stable=stands != "US")]


DRIVER = DeviceDriver("bench-balance", "Bench balance", parse)


@hookimpl
def device_drivers() -> Sequence[DeviceDriver]:
    """Bring the driver."""
    return [DRIVER]
