"""Keep what devices send, and have it read: what was sent is kept before anybody tries to read it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

from django.contrib.auth.models import User
from django.db import IntegrityError, transaction

from api.readings.models import LONGEST_CODE, LONGEST_ID, LONGEST_RAW, Device, Reading, ReadingParse
from api.readings.parsing import parse
from api.readings.texts import TextUnfit, of_line
from api.v1.moments import ZoneMissing
from api.v1.values import as_kept
from inventory.actions.acting import require
from inventory.importing.words import WrongShape
from inventory.models import Station
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.reading import quoted

_YEARS = range(1900, 2200)
MOST_DEEP = 20  # braces and brackets inside each other, in what a sender read; lists tell no more than 250


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
class ReadingWords:
    """A reading as it is sent."""

    device_id: str = field(metadata={"looks": "the device's code"})
    reading_id: str = field(metadata={"looks": "the device's own number for it, new for each reading"})
    taken_at: str = field(metadata={"looks": "an instant with its zone, such as 2025-11-28T08:00:00Z"})
    kind: str = field(default="", metadata={"looks": "what it is of, in the sender's words"})
    raw: str = field(metadata={"looks": f"letter by letter as the device sent it, at most {LONGEST_RAW:,} characters"})


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
    here = Device.objects.filter(station=station, code=words.device_id, ended_at__isnull=True)
    device = here.select_related("station").first()
    if device is not None and not ReadingParse.objects.filter(reading=reading).exists():
        parse(reading, device, now)
    return reading, is_new


def _content(words: ReadingWords, sent: Any) -> dict[str, Any]:
    mistakes: list[Mistake] = [
        *of_line("device_id", words.device_id, LONGEST_CODE), *of_line("reading_id", words.reading_id, LONGEST_ID),
        *(of_line("kind", words.kind, LONGEST_CODE) if words.kind else ()),
    ]  # fmt: skip
    if not 0 < len(words.raw) <= LONGEST_RAW:
        mistakes.append(TextUnfit("raw", LONGEST_RAW, len(words.raw)))
    moment = _moment(words.taken_at)
    if moment is None:
        mistakes.append(ZoneMissing(words.taken_at, "taken_at"))
    if (sent is not None and not isinstance(sent, Mapping)) or _is_deeper(sent, MOST_DEEP):
        mistakes.append(WrongShape("values", sent, f"an object of what it read itself, at most {MOST_DEEP} deep"))
    elif len(str(sent)) > LONGEST_RAW:
        mistakes.append(TextUnfit("values", LONGEST_RAW, len(str(sent))))
    if mistakes:
        raise Refused(mistakes)
    return {"taken_at": moment, "kind": words.kind, "raw": words.raw, "sent": as_kept(sent or {})}


def _is_deeper(value: Any, most: int) -> bool:
    """Say whether objects and lists stand deeper inside each other than so many levels."""
    inner = value.values() if isinstance(value, Mapping) else value if isinstance(value, list) else None
    return inner is not None and (most == 0 or any(_is_deeper(one, most - 1) for one in inner))


def _moment(typed: str) -> datetime | None:
    """Read an instant in UTC; None where it is none, or has no zone."""
    try:
        moment = datetime.fromisoformat(typed)
    except ValueError:
        return None
    return moment.astimezone(UTC) if moment.tzinfo and moment.year in _YEARS else None
