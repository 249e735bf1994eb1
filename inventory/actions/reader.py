"""Read one act's typed words on a desk and gather everything that is wrong with it, to be said at once."""

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from contextlib import contextmanager
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any, TypeVar

from inventory.actions.desk import Desk, Known, Typed
from inventory.models import Container, Cross, Line, Place, Plant, Plot
from inventory.queries.finding import Find, find_container, find_cross, find_line, find_place, find_plant, find_plot
from inventory.rules.dates import EARLIEST, DateImpossible, DateTooEarly, FutureDate, read_date
from inventory.rules.mass import ReadMass, read_mass
from inventory.rules.mistakes import Level, Mistake, Note, Refused, refuse_if_any
from inventory.rules.moisture import moisture_mistakes, read_moisture
from inventory.rules.reading import typed_text

T = TypeVar("T")
P = TypeVar("P")
R = TypeVar("R")


class Missing(Mistake):
    """Something that the act cannot do without was left empty."""

    code = "missing"

    def __init__(self, field: str, example: str) -> None:
        super().__init__(
            f"{field.replace('_', ' ').capitalize()} is missing. Give it, for example {example}.", field=field
        )


class TooLong(Mistake):
    """More was written than the books can hold there."""

    code = "too_long"

    def __init__(self, field: str, length: int, longest: int) -> None:
        super().__init__(
            f"{field.replace('_', ' ').capitalize()} has {length} signs; {longest} fit. Write it shorter.", field=field
        )


class ReasonMissing(Mistake):
    """An act that needs its why has none."""

    code = "reason_missing"

    def __init__(self, act: str) -> None:
        super().__init__(f"Write why: {act} is kept with its reason.", field="reason")


class Reader:
    """Reads typed words; what cannot be read is gathered and its value is None.

    Args:
        desk: where this act is planned.
        answers: code of a question -> the person's reason for going on.
    """

    def __init__(self, desk: Desk, answers: Mapping[str, str] | None = None) -> None:
        self.desk = desk
        self.answers = dict(answers or {})
        self.mistakes: list[Mistake] = []
        self.notes: list[Note] = []
        self.typed: dict[str, Any] = {}
        self._unread: set[str] = set()
        self.at: datetime | None = None  # when the act happened, once read

    def note_typed(self, **fields: Any) -> None:
        """Keep what was typed beside what was understood; empty fields are not kept."""
        self.typed.update({name: _kept(value) for name, value in fields.items() if value not in (None, "", (), [])})

    def add(self, *mistakes: Mistake) -> None:
        """Gather findings of a rule."""
        self.mistakes.extend(mistakes)

    @contextmanager
    def within(self, part: str, names: Collection[str] = (), **called: str) -> Iterator[None]:
        """Keep of what is found meanwhile in which part of the words it stands, so that a program is led there.

        Args:
            part: such as "items.2", counted from one.
            names: the fields of that part; what is found of none of them belongs to the whole part.
            called: what a mistake calls a field -> its name there.
        """
        before = len(self.mistakes)
        yield
        for mistake in self.mistakes[before:]:
            name = called.get(mistake.field, mistake.field)
            mistake.part = f"{part}.{name}" if name in names else part

    def each(self, name: str, parts: Iterable[P], read: Callable[[P], R | None], **called: str) -> list[R]:
        """Read the parts of an act one by one, each within its place; what cannot be read is left out.

        Args:
            name: of the field that holds the parts.
            called: what a mistake calls a field -> its name in a part.
        """
        found = []
        for place, part in enumerate(parts, start=1):
            with self.within(f"{name}.{place}", vars(part), **called):
                found.append(read(part))
        return [one for one in found if one is not None]

    @property
    def has_errors(self) -> bool:
        """Something cannot be saved as it stands; a question may be answered, so that what follows is still checked."""
        return any(mistake.level is Level.ERROR for mistake in self.mistakes)

    def attempt(self, read: Callable[[], T]) -> T | None:
        """Read something; a mistake is gathered instead of raised."""
        try:
            return read()
        except Mistake as mistake:
            self.mistakes.append(mistake)
            self._unread.add(mistake.code)
        except Refused as refused:
            self.mistakes.extend(refused.mistakes)
        return None

    def lot(self, typed: Typed, field: str = "lot") -> Known | None:
        """Read a lot that has to stand in the books."""
        if typed in (None, ""):
            self.add(Missing(field, "24-0016-5"))
            return None
        return self.attempt(lambda: self.desk.lot(typed, field, self.notes))

    def place(self, typed: Typed, field: str = "place") -> Place | None:
        """Read a place."""
        return self._find(find_place, typed, field, "A-01")

    def line(self, typed: Typed, field: str = "line") -> Line | None:
        """Read a line by any of its names."""
        return self._find(find_line, typed, field, "QN-2104")

    def plot(self, typed: Typed, field: str = "plot") -> Plot | None:
        """Read a plot or block."""
        return self._find(find_plot, typed, field, "QM24-T101")

    def plant(self, typed: Typed, field: str = "plant") -> Plant | None:
        """Read a single plant."""
        return self._find(find_plant, typed, field, "QM24-T101-1")

    def cross(self, typed: Typed, field: str = "cross") -> Cross | None:
        """Read a cross."""
        return self._find(find_cross, typed, field, "Q19-04")

    def container(self, typed: Typed, field: str = "container") -> Container | None:
        """Read a container."""
        return self._find(find_container, typed, field, "B-07")

    def mass(self, typed: Typed, field: str, unit: str = "kg", *, needed: bool = True) -> ReadMass | None:
        """Read a mass; an empty one is missing only where it is needed."""
        if typed in (None, ""):
            self.add(*([Missing(field, "842 kg")] if needed else []))
            return None
        read = self.attempt(lambda: read_mass(typed, unit=unit, field=field))
        if read is not None:
            self.notes.extend(read.notes)
        return read

    def positive(self, typed: Typed, field: str, unit: str = "kg") -> ReadMass | None:
        """Read a mass that has to be more than nothing."""
        read = self.mass(typed, field, unit)
        if read is not None and read.mg == 0:
            self.add(NothingMoved(field))
            return None
        return read

    def moisture(self, typed: Typed, field: str = "moisture") -> Decimal | None:
        """Read a moisture [% wet basis] and ask about unlikely ones; empty is None."""
        if typed in (None, ""):
            return None
        read = self.attempt(lambda: read_moisture(typed, field=field))
        if read is None:
            return None
        self.notes.extend(read.notes)
        self.add(*moisture_mistakes(read.percent, field=field))
        return read.percent

    def when(self, typed: Typed, field: str = "at") -> datetime:
        """Read the moment of an act: empty is now, a day is its noon at the station."""
        moment = self._not_later(self.attempt(lambda: self._moment(typed, field)) or self.desk.now, field)
        if field == "at":
            self.at = moment
        return moment

    def _not_later(self, moment: datetime, field: str) -> datetime:
        if moment > self.desk.now:
            day = self.desk.local_day(moment)
            today = self.desk.local_day(self.desk.now)
            if day > today:
                self.add(FutureDate(day, today, field=field))
            return self.desk.now
        return moment

    def _moment(self, typed: Typed, field: str) -> datetime:
        if typed in (None, ""):
            return self.desk.now
        moment = typed if isinstance(typed, datetime) else _iso_moment(typed)
        if moment is not None:
            return self._in_utc(moment, field)
        read = read_date(typed, field=field)
        self.notes.extend(read.notes)
        return self.desk.at_noon(read.value).astimezone(UTC)

    def _in_utc(self, moment: datetime, field: str) -> datetime:
        if moment.date() < EARLIEST:
            raise DateTooEarly(moment.date(), field=field)
        try:
            return (moment if moment.tzinfo else moment.replace(tzinfo=self.desk.zone)).astimezone(UTC)
        except OverflowError:  # the last hours of the calendar's last year
            raise DateImpossible(moment.isoformat(), field=field) from None

    def text(self, typed: Typed, field: str, example: str, longest: int, *, needed: bool = True) -> str:
        """Read a name or sentence of at most so many signs."""
        text = typed_text(typed).strip()
        if not text and needed:
            self.add(Missing(field, example))
        if len(text) > longest:
            self.add(TooLong(field, len(text), longest))
        return text

    def reason(self, typed: str, act: str) -> str:
        """Read the why of an act that needs one."""
        if not typed.strip():
            self.add(ReasonMissing(act))
        return typed.strip()

    def finish(self) -> dict[str, Any]:
        """Raise all that stands in the way, or return the facts to be kept with the act.

        Raises:
            Refused: something cannot be saved, or a question has no answer yet.
        """
        # A question about how to read a value leaves it unread: it is answered by typing it again, not by a reason.
        answers = {code: reason for code, reason in self.answers.items() if code not in self._unread}
        asked = refuse_if_any(self.mistakes, answers)
        facts: dict[str, Any] = {"typed": self.typed}
        if self.notes:
            facts["notes"] = list(dict.fromkeys(note.says for note in self.notes))
        if asked:
            facts["asked"] = asked
        return facts

    def _find(self, find: Find[T], typed: Typed, field: str, example: str) -> T | None:
        if typed in (None, ""):
            self.add(Missing(field, example))
            return None
        return self.attempt(lambda: self.desk.find(find, typed_text(typed), field, self.notes))


def sure(value: T | None) -> T:
    """Say of a value that it was read: `finish()` has let nothing unread through."""
    if value is None:
        raise AssertionError("finish() lets nothing unread through")
    return value


class NothingMoved(Mistake):
    """A mass of zero would move nothing."""

    code = "nothing_moved"

    def __init__(self, field: str) -> None:
        super().__init__(
            f"{field.replace('_', ' ').capitalize()} is 0: nothing would move. Weigh it, or leave it out.", field=field
        )


def _iso_moment(typed: Typed) -> datetime | None:
    """Read text that holds a time as ISO 8601; days alone are read by the rules of dates."""
    if not isinstance(typed, str) or ":" not in typed:
        return None
    try:
        return datetime.fromisoformat(typed.strip())
    except ValueError:
        return None


def _kept(value: Any) -> Any:
    if isinstance(value, str | int | bool):
        return value
    if isinstance(value, datetime | date):
        return value.isoformat()
    if isinstance(value, Iterable):
        return [_kept(item) for item in value]
    return typed_text(value)
