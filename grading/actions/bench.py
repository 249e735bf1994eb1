"""What acts of the bench know beside the inventory's desk: which numbers are taken, and samples that stand."""

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

from django.db.models.functions import Length

from grading.models import Sample, SeedTest
from grading.queries.finding import find_sample, standing_samples
from grading.rules.numbers import NotATag, NumberTaken, next_tag, read_tag
from inventory.actions.desk import Desk, Known, Typed
from inventory.actions.reader import Missing, Reader
from inventory.models import MarketClass
from inventory.queries.uses import in_parts
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.reading import typed_text


@dataclass
class Numbers:
    """Numbers of samples or tests, in the books and given out in this act.

    Args:
        model: what they number; a row of the same number that was taken back leaves it free again.
        prefix: of the next free number.
        what: their word in a sentence.
    """

    model: type[Sample] | type[SeedTest]
    prefix: str
    what: str
    desk: Desk
    rows: dict[str, list[Sample | SeedTest]] = field(default_factory=dict)
    given: dict[str, str] = field(default_factory=dict)  # number -> lot, in this act

    def expect(self, typed: Iterable[Typed]) -> None:
        """Look up at once the numbers that an act will ask for (1 query for 500); what is no number is met later."""
        tags = sorted({tag for each in typed if (tag := self._quietly(each))} - self.rows.keys())
        self.rows.update({tag: [] for tag in tags})
        for some in in_parts(tags):
            rows = self.model._default_manager.filter(station=self.desk.station, number__in=some)
            for row in rows.select_related("lot", "operation__reversed_by").order_by("take"):
                self.rows[row.number].append(row)

    def take(self, reader: Reader, typed: Typed, lot: str) -> tuple[str, int] | None:
        """Give a number and how often it was taken back before; what is wrong is gathered."""
        if typed in (None, ""):
            number = self._next()
        else:
            read = reader.attempt(lambda: read_tag(typed, self.what))
            if read is None:
                return None
            reader.notes.extend(read.notes)
            number = read.value
        self.expect([number])
        if mistake := self._taken(number):
            reader.add(mistake)
            return None
        self.given[number] = lot
        return number, len(self.rows[number])

    @contextmanager
    def trying(self) -> Iterator[None]:
        """Forget the numbers that a plan took, if it comes to nothing: it may be planned again otherwise."""
        before = len(self.given)
        try:
            yield
        except Refused:
            while len(self.given) > before:
                self.given.popitem()
            raise

    def _taken(self, number: str) -> NumberTaken | None:
        if number in self.given:
            return NumberTaken(number, self.what, self.given[number] or "this lot", "in this same act")
        for row in self.rows[number]:
            if not hasattr(row.operation, "reversed_by"):
                day = self.desk.local_day(row.operation.at).isoformat()
                return NumberTaken(number, self.what, row.lot.number, day)
        return None

    def _next(self) -> str:
        rows = self.model._default_manager.filter(
            station=self.desk.station, number__regex=f"^{self.prefix}[0-9]{{1,9}}$"
        )
        highest = rows.annotate(length=Length("number")).order_by("-length", "-number").values_list("number", flat=True)
        number = next_tag(self.prefix, highest.first())
        while number in self.given:
            number = next_tag(self.prefix, number)
        return number

    def _quietly(self, typed: Typed) -> str | None:
        try:
            return read_tag(typed, self.what).value
        except NotATag:
            return None


class Bench:
    """The bench beside a desk.

    Args:
        desk: where the act's entries are planned.
    """

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.samples = Numbers(Sample, "G", "sample", desk)
        self.tests = Numbers(SeedTest, "T", "test", desk)
        self._classes: dict[int, str] = {}
        self._standing: dict[str, Sample] = {}

    def expect_samples(self, typed: Iterable[Typed]) -> None:
        """Look up at once the samples that portions name (1 query for 500)."""
        wanted = sorted({typed_text(each).strip().upper() for each in typed if each not in (None, "")})
        for some in in_parts(wanted):
            rows = standing_samples(self.desk.station).filter(number__in=some)
            self._standing.update({row.number: row for row in rows})

    def sample(self, reader: Reader, typed: Typed, field_name: str = "sample") -> Sample | None:
        """Find a sample that stands; what is wrong is gathered."""
        if typed in (None, ""):
            reader.add(Missing(field_name, "G03"))
            return None
        text = typed_text(typed).strip().upper()
        if text in self._standing:
            return self._standing[text]
        found = reader.attempt(lambda: find_sample(self.desk.station, typed, field=field_name))
        if found is None:
            return None
        reader.notes.extend(found[1])
        return self._standing.setdefault(text, found[0])

    def remember(self, row: Sample) -> None:
        """Let later plans on this desk find a sample that was planned here."""
        self._standing[row.number] = row

    def lot(self, typed: Typed) -> Known | None:
        """Find a lot without a word; whoever draws from it says what is wrong."""
        try:
            return self.desk.lot(typed, "lot", []) if typed not in (None, "") else None
        except Mistake:
            return None

    def class_of(self, known: Known | None) -> str:
        """Name the market class of a lot; "" where it has none (1 query a class)."""
        key = known.market_class_id if known else None
        if key is None:
            return ""
        if key not in self._classes:
            self._classes[key] = MarketClass.objects.get(pk=key).name
        return self._classes[key]
