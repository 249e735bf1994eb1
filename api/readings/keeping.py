"""Enter devices, keep what they send, and have it read: what was sent is kept before anybody tries to read it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

from django.contrib.auth.models import User
from django.db import IntegrityError, transaction

from api.readings.drivers import drivers, read_text
from api.readings.models import LONGEST_CODE, LONGEST_ID, LONGEST_RAW, Device, Reading, ReadingParse
from api.v1.moments import ZoneMissing
from api.v1.values import as_kept
from hilum.plugins.host import ReadingUnread
from inventory.actions.acting import require
from inventory.importing.words import UnknownWord, WrongShape
from inventory.models import Station
from inventory.rules.mass import MG_PER_UNIT, read_unit
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.reading import field_words, quoted

MOST_READ_AT_ONCE = 100  # of those that waited for their device; the others are read when they are sent again
_YEARS = range(1900, 2200)


class TextUnfit(Mistake):
    """A text that is empty, too long, or holds signs that nobody sees."""

    code = "text_unfit"

    def __init__(self, name: str, most: int, length: int) -> None:
        says = f"{field_words(name)} has {length:,} characters. Give 1 to {most:,}, on one line."
        super().__init__(says, field=name)


class DeviceDiffers(Mistake):
    """A device that is there with other words."""

    code = "device_differs"

    def __init__(self, device: Device) -> None:
        super().__init__(
            f"{quoted(device.code)} is entered already, as {quoted(device.name)} with the driver {device.driver} and "
            f"{device.unit or 'no unit'}. Give another device another code.",
            field="code",
        )


class ReadingDiffers(Mistake):
    """A reading's number that came before with other content."""

    code = "reading_differs"

    def __init__(self, reading: Reading) -> None:
        super().__init__(
            f"{quoted(reading.device)} sent its reading {quoted(reading.reading)} before, with other content: "
            f"{quoted(reading.raw)}. A new reading needs a new reading_id; what was kept stays.",
            field="reading_id",
        )


@dataclass(frozen=True, kw_only=True)
class DeviceWords:
    """A device as it is entered."""

    code: str = field(metadata={"looks": "as the device calls itself in device_id"})
    driver: str = field(metadata={"looks": "scale, or a driver that a plugin brings"})
    name: str = field(default="", metadata={"looks": "what people call it"})
    unit: str = field(default="", metadata={"looks": "what its masses mean where they name no unit, such as kg"})


@dataclass(frozen=True, kw_only=True)
class ReadingWords:
    """A reading as it is sent."""

    device_id: str = field(metadata={"looks": "the device's code"})
    reading_id: str = field(metadata={"looks": "the device's own number for it, new for each reading"})
    taken_at: str = field(metadata={"looks": "an instant with its zone, such as 2025-11-28T08:00:00Z"})
    kind: str = field(default="", metadata={"looks": "what it is of, in the sender's words"})
    raw: str = field(metadata={"looks": f"letter by letter as the device sent it, at most {LONGEST_RAW:,} characters"})


def enter_device(words: DeviceWords, *, station: Station, by: User, now: datetime) -> tuple[Device, bool]:
    """Enter a device, and read what it sent before.

    Returns:
        The device, and whether it is new; the same words again are the same device.

    Raises:
        Refused: words that cannot be, a code that is another device's, or no right to it.
    """
    require(by, "places", station)
    unit = read_unit(words.unit) if words.unit else ""
    mistakes = [*_of_line("code", words.code, LONGEST_CODE), *(_of_line("name", words.name, 80) if words.name else ())]
    if words.driver not in (known := drivers(station.code)):
        mistakes.append(UnknownWord("driver", words.driver, known, field="driver"))
    if unit is None:
        mistakes.append(UnknownWord("unit of mass", words.unit, list(MG_PER_UNIT), field="unit"))
    if mistakes:
        raise Refused(mistakes)
    own = {"name": words.name or words.code, "driver": words.driver, "unit": unit or ""}
    device, is_new = Device.objects.get_or_create(
        station=station, code=words.code, defaults={**own, "by": by, "made_at": now}
    )  # fmt: skip
    if not is_new and any(getattr(device, name) != value for name, value in own.items()):
        raise Refused([DeviceDiffers(device)])
    aside = Reading.objects.filter(station=station, device=device.code, parsed__isnull=True)
    for reading in aside.order_by("pk")[:MOST_READ_AT_ONCE]:
        parse(reading, device, now)
    return device, is_new


def keep_reading(words: ReadingWords, sent: Any, *, station: Station, by: User, now: datetime) -> tuple[Reading, bool]:
    """Keep a reading and have it read, where its device is known; the same again is the same reading.

    Args:
        sent: what the sender read in it itself, an object; None for nothing.

    Returns:
        The reading, and whether it is new.

    Raises:
        Refused: words that cannot be, other content under the same number, or no right to it.
    """
    require(by, "reading", station)
    content = _content(words, sent)
    try:
        with transaction.atomic():  # ends, and so keeps the text, before a driver is asked
            reading, is_new = Reading.objects.get_or_create(
                station=station, device=words.device_id, reading=words.reading_id,
                defaults={**content, "by": by, "received_at": now},
            )  # fmt: skip
    except IntegrityError:  # its twin was quicker
        reading, is_new = Reading.objects.get(station=station, device=words.device_id, reading=words.reading_id), False
    if not is_new and any(getattr(reading, name) != value for name, value in content.items()):
        raise Refused([ReadingDiffers(reading)])
    device = Device.objects.filter(station=station, code=words.device_id).select_related("station").first()
    if device is not None and not ReadingParse.objects.filter(reading=reading).exists():
        parse(reading, device, now)
    return reading, is_new


def parse(reading: Reading, device: Device, now: datetime) -> None:
    """Have a kept text read, and keep what came of it; where the driver is not here now, it stays aside."""
    values: list[dict[str, Any]] = []
    unread = ""
    try:
        values = read_text(device, reading.raw)
    except KeyError:
        return
    except ReadingUnread as why:
        unread = str(why).replace("\0", "?") or "The driver could not read it, and did not say why."
    own = {"device": device, "driver": device.driver, "at": now, "values": values, "unread": unread}
    ReadingParse.objects.get_or_create(reading=reading, defaults=own)


def _content(words: ReadingWords, sent: Any) -> dict[str, Any]:
    mistakes: list[Mistake] = [
        *_of_line("device_id", words.device_id, LONGEST_CODE), *_of_line("reading_id", words.reading_id, LONGEST_ID),
        *(_of_line("kind", words.kind, LONGEST_CODE) if words.kind else ()),
    ]  # fmt: skip
    if not 0 < len(words.raw) <= LONGEST_RAW:
        mistakes.append(TextUnfit("raw", LONGEST_RAW, len(words.raw)))
    moment = _moment(words.taken_at)
    if moment is None:
        mistakes.append(ZoneMissing(words.taken_at, "taken_at"))
    if sent is not None and not isinstance(sent, Mapping):
        mistakes.append(WrongShape("values", sent, "an object of what the sender read itself"))
    elif len(str(sent)) > LONGEST_RAW:
        mistakes.append(TextUnfit("values", LONGEST_RAW, len(str(sent))))
    if mistakes:
        raise Refused(mistakes)
    return {"taken_at": moment, "kind": words.kind, "raw": words.raw, "sent": as_kept(sent or {})}


def _moment(typed: str) -> datetime | None:
    """Read an instant in UTC; None where it is none, or has no zone."""
    try:
        moment = datetime.fromisoformat(typed)
    except ValueError:
        return None
    return moment.astimezone(UTC) if moment.tzinfo and moment.year in _YEARS else None


def _of_line(name: str, text: str, most: int) -> list[Mistake]:
    return [] if 0 < len(text.strip()) <= len(text) <= most and text.isprintable() else [
        TextUnfit(name, most, len(text))
    ]  # fmt: skip
