"""Dates as people write them in English, French and Spanish, and as sheets store them."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from inventory.rules.mistakes import Mistake, Note, Question
from inventory.rules.reading import ReadAs, field_words, listed, plain, quoted, typed_text, unaccented

MONTHS = (
    ("january", "janvier", "enero"),
    ("february", "fevrier", "febrero"),
    ("march", "mars", "marzo"),
    ("april", "avril", "abril"),
    ("may", "mai", "mayo"),
    ("june", "juin", "junio"),
    ("july", "juillet", "julio"),
    ("august", "aout", "agosto"),
    ("september", "septembre", "septiembre", "setiembre"),
    ("october", "octobre", "octubre"),
    ("november", "novembre", "noviembre"),
    ("december", "decembre", "diciembre"),
)
WEEKDAYS = (
    *("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"),
    *("lundi", "mardi", "mercredi", "jeudi", "vendredi", "samedi", "dimanche"),
    *("lunes", "martes", "miercoles", "jueves", "viernes", "sabado", "domingo"),
)
LITTLE_WORDS = ("de", "del", "le", "el", "the", "of")
SHOWN_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
# ECMA-376 part 1, 18.17.4.1: in the 1900 date system serial 61 is 1900-03-01; below stands a day that never was.
SERIAL_START = date(1899, 12, 30)
EARLIEST = date(1950, 1, 1)  # older seed is in no station's books; an older date is a slip or an empty cell's zero
LATEST_YEAR = 2100
TIME_BEHIND = re.compile(r"[T ][0-9]{1,2}:[0-9]{2}(:[0-9]{2}([.,][0-9]+)?)?( ?[AaPp]\.?[Mm]\.?)?(Z|[+-][0-9:]{2,5})?$")
ORDINAL = re.compile(r"(?<=[0-9])(st|nd|rd|th|er|ro|o|a)\b", re.IGNORECASE)
Triple = tuple[int, int, int]


class DateMissing(Mistake):
    """A date is needed and none is there."""

    code = "date_missing"

    def __init__(self, *, field: str = "date") -> None:
        super().__init__(f"{field_words(field)} is empty. Write it like 2024-09-24.", field=field)


class NotADate(Mistake):
    """What was typed cannot be read as a date."""

    code = "not_a_date"

    def __init__(self, typed: str, *, field: str = "date") -> None:
        super().__init__(
            f"{field_words(field)} {quoted(typed)} cannot be read as a date. Write it like 2024-09-24.", field=field
        )


class DateImpossible(Mistake):
    """A day the calendar does not have."""

    code = "date_impossible"

    def __init__(self, typed: str, *, field: str = "date") -> None:
        super().__init__(
            f"{field_words(field)} {quoted(typed)} is not in the calendar. Check the day and the month.", field=field
        )


class DateTooEarly(Mistake):
    """A day before any seed in the books."""

    code = "date_too_early"

    def __init__(self, day: date, *, field: str = "date") -> None:
        super().__init__(
            f"{field_words(field)} {day} is before {EARLIEST.year}. Check the year, or whether the cell is empty.",
            field=field,
        )


class FutureDate(Mistake):
    """A day that has not come yet."""

    code = "future_date"

    def __init__(self, day: date, today: date, *, field: str = "date") -> None:
        what = "The day" if field == "at" else field_words(field)
        super().__init__(f"{what} {day} has not come yet: today is {today}. Check the day and the year.", field=field)


class DateTwoReadings(Question):
    """A date whose order of day and month is unknown.

    Attributes:
        readings: the days it can be, nearest first where a near day is known.
    """

    code = "date_two_readings"

    def __init__(
        self, typed: str, readings: Iterable[date], *, near: date | None = None, is_below: bool = False,
        field: str = "date",
    ) -> None:  # fmt: skip
        self.readings = tuple(readings)
        with_year = len({day.year for day in self.readings}) > 1
        days = [f"{day.day} {month_words(day) if with_year else SHOWN_MONTHS[day.month - 1]}" for day in self.readings]
        around = f" Rows {'below' if is_below else 'above'} are {month_words(near)}." if near else ""
        super().__init__(
            f"{typed} can be {listed(days)}.{around} Which order does this sheet use?",
            field=field,
            proposal=min(self.readings, key=lambda day: abs(day - near)).isoformat() if near else None,
        )


@dataclass(frozen=True, slots=True)
class ReadDate:
    """A date as it was understood, with what was typed."""

    value: date
    typed: str
    notes: tuple[Note, ...] = ()


def read_date(
    value: object,
    *,
    day_first: bool | None = None,
    near: date | None = None,
    near_is_below: bool = False,
    today: date | None = None,
    field: str = "date",
) -> ReadDate:
    """Read a date from a text or a cell.

    Args:
        value: date, datetime, serial number of a sheet (1900 system), or text.
        day_first: True where 10/02/24 is 10 February, False where it is 2 October, None if it is not known.
        near: a day that rows around have; it serves the question and its proposal, never a silent guess.
        near_is_below: that day stands below, because no row above has one.
        today: where given, later days are refused.
        field: the argument or column, for the sentence.

    Returns:
        The day; a note where it was written other than 2024-09-24, or stored as a number.

    Raises:
        DateMissing, NotADate, DateImpossible, DateTooEarly, FutureDate: it cannot be taken.
        DateTwoReadings: a question, with the readings.
    """
    typed = typed_text(value)
    readings = _readings(value, typed, day_first, field)
    if len(readings) > 1:
        raise DateTwoReadings(typed.strip(), readings, near=near, is_below=near_is_below, field=field)
    day = readings[0]
    if day < EARLIEST:
        raise DateTooEarly(day, field=field)
    if today and day > today:
        raise FutureDate(day, today, field=field)
    as_stored = isinstance(value, date) or typed.startswith(day.isoformat())
    return ReadDate(day, typed, () if as_stored else (ReadAs(typed.strip(), day.isoformat(), field=field),))


def month_words(day: date) -> str:
    """Name month and year as on a page: "Oct 2024"."""
    return f"{SHOWN_MONTHS[day.month - 1]} {day.year}"


def month_of(word: str) -> int | None:
    """Name the month (1 to 12) a word or its abbreviation of three letters or more stands for in en, fr or es."""
    stem = unaccented(word)
    found = [number for number, names in enumerate(MONTHS, 1) if any(name.startswith(stem) for name in names)]
    return found[0] if len(stem) >= 3 and len(found) == 1 else None


def _readings(value: object, typed: str, day_first: bool | None, field: str) -> list[date]:  # noqa: FBT001 - three-valued
    if isinstance(value, datetime):
        return [value.date()]
    if isinstance(value, date):
        return [value]
    text = plain(typed)
    if not text:
        raise DateMissing(field=field)
    if re.fullmatch(r"[0-9]{5}(\.[0-9]+)?", text):
        return [SERIAL_START + timedelta(days=int(text[:5]))]
    triples = _triples(ORDINAL.sub("", TIME_BEHIND.sub("", text)), day_first)
    if not triples or isinstance(value, bool):
        raise NotADate(typed, field=field)
    days = list(dict.fromkeys(day for day in map(_day, triples) if day))
    if not days:
        raise DateImpossible(typed.strip(), field=field)
    return days


def _triples(text: str, day_first: bool | None) -> list[Triple]:  # noqa: FBT001 - three-valued
    """List the ways to see year, month and day in a text; none where it has another shape."""
    if re.fullmatch(r"(19|20)[0-9]{6}", text):
        return [(int(text[:4]), int(text[4:6]), int(text[6:]))]
    words = [word for word in re.findall(r"[0-9]+|[^\W\d_]+", text) if not _is_filler(word)]
    if len(words) != 3 or re.sub(r"[\w\s./,'-]", "", text) or max(map(len, words[:1] + words[2:])) > 12:
        return []
    names = [place for place, word in enumerate(words) if not word.isdecimal()]
    if names:
        return _named(words, names)
    return _numbered(words, day_first, hyphens="-" in text)


def _is_filler(word: str) -> bool:
    stem = unaccented(word)
    is_weekday = len(stem) >= 3 and any(name.startswith(stem) for name in WEEKDAYS)
    return stem in LITTLE_WORDS or (is_weekday and month_of(word) is None)


def _named(words: list[str], names: list[int]) -> list[Triple]:
    """See "24 Sept 24", "Sept 24, 2024" and "2024-Sep-24"."""
    month = month_of(words[names[0]])
    if month is None or len(names) > 1:
        return []
    first, second = (word for word in words if word.isdecimal())
    if len(first) == 4:
        return [(int(first), month, int(second))]
    return [(_year(second), month, int(first))]


def _numbered(words: list[str], day_first: bool | None, *, hyphens: bool) -> list[Triple]:  # noqa: FBT001 - three-valued
    """See day, month and year in three numbers: the order that is known, else each that the calendar allows."""
    first, middle, last = words
    if len(first) == 4:
        return [(int(first), int(middle), int(last))]
    if len(first) > 2 or len(middle) > 2:
        return []
    by_day, by_month = (_year(last), int(middle), int(first)), (_year(last), int(first), int(middle))
    by_year = (_year(first), int(middle), int(last)) if hyphens and len(last) == 2 else by_day
    known = {True: by_day, False: by_month, None: None}[day_first]
    if known and _day(known):
        return [known]
    return [by_day, by_month, by_year]


def _year(digits: str) -> int:
    return 2000 + int(digits) if len(digits) == 2 else int(digits)


def _day(triple: Triple) -> date | None:
    try:
        day = date(*triple)
    except ValueError:
        return None
    return day if day.year <= LATEST_YEAR else None
