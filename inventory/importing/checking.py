"""Check a sheet: every record is planned as it would be booked, and nothing of it stays.

The plans share one desk, so that a row sees what the rows above it do. All that is said about a row is put at its
cells; answers settle it, and what is not answered yet is taken as proposed so that later rows are read as they will be.
"""

import re
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime

from django.contrib.auth.models import User
from django.db import transaction

from inventory.actions.desk import Desk
from inventory.actions.reader import Reader
from inventory.importing.answers import Answers
from inventory.importing.asking import AnswerSheet, Asking, NotAsked, Record, open_record
from inventory.importing.cells import RowCells, Said, SheetRead
from inventory.importing.fields import Reads
from inventory.importing.findings import Finding, finding_of_row
from inventory.importing.habits import Habits
from inventory.importing.headings import match_headings
from inventory.importing.kinds.kind import Kind
from inventory.importing.known import known_codes
from inventory.importing.rows import sort_rows
from inventory.importing.table import SheetTable, column_number
from inventory.models import Station
from inventory.rules.mistakes import Level, Mistake, Refused
from inventory.rules.reading import quoted

Progress = Callable[[int, int], None]  # told that so many steps of so many are done; may raise to stop
STEP = 50  # records after which it is told
TRIES = 8  # how often a record is read again because an answer changed it; four fields asked about are rare
MASSES = (Reads.MASS, Reads.MASS_OR_SHARE)
NUMBER = re.compile(r"\b\d\d-\d{4,5}-\d\b")


def silent(_done: int, _of: int) -> None:
    """Tell nobody how far it is."""


class NoRecords(Mistake):
    """There is nothing below the headings."""

    code = "no_records"

    def __init__(self, sheet: str, row: int, title: str) -> None:
        super().__init__(
            f"Sheet {quoted(sheet)} has its headings in row {row} and no {title} below. "
            "Check that it is the right file."
        )


class LotInSheet(Mistake):
    """A lot number stands for two rows of one sheet."""

    code = "lot_in_sheet"

    def __init__(self, number: str, row: int) -> None:
        super().__init__(f"{number} is in row {row} of this sheet already. Give this row its own number.", field="lot")


@dataclass
class Checked:
    """A sheet that was checked.

    Args:
        records: in the sheet's order, also those that are left out.
        findings: by row and column.
    """

    kind: Kind
    sheet: SheetRead
    records: list[Record]
    findings: list[Finding] = field(default_factory=list)

    @property
    def is_open(self) -> bool:
        """Say whether something has to be answered before it can be saved."""
        return any(finding.is_open for finding in self.findings)

    @property
    def to_save(self) -> list[Record]:
        """The records that are not left out."""
        return [record for record in self.records if not record.is_left_out]


def check(
    kind: Kind, table: SheetTable, station: Station, answers: Answers, now: datetime | None = None,
    *, progress: Progress = silent,
) -> Checked:  # fmt: skip
    """Check a sheet in a transaction that is taken back; what `progress` raises ends it so too.

    Raises:
        Refused: its columns can't be told, or it holds no record.
    """
    headings = match_headings(table, kind.vocabulary)
    rows = sort_rows(table, headings, kind.vocabulary)
    if not rows.data:
        raise Refused([NoRecords(table.name, headings.row_number, kind.vocabulary.title)])
    known = known_codes(station)
    habits = Habits(rows.data, headings, kind.vocabulary, first_1904=table.first_1904)
    sheet = SheetRead(table, kind.vocabulary, headings, rows.data, known, habits, habits.prefix(known.plots))
    given = AnswerSheet(answers, {name: column.heading for name, column in headings.columns.items()})
    records = [open_record(group, given) for group in kind.group(sheet)]
    checked = Checked(kind, sheet, records)
    with _tried_only():
        _Table(checked, Desk(station, now), given).settle_all(progress)
    # Formulas without a value are asked about where their cells are read, with a proposal where there is one.
    findings = [*headings.findings, *(finding for finding in rows.findings if finding.level is Level.NOTE)]
    findings += [finding for record in records for finding in record.findings.values()]
    findings += [finding_of_row(answer.row or 0, NotAsked(answer)) for answer in given.unused()]
    checked.findings = sorted(findings, key=_place)
    return checked


def in_parts(kind: Kind, records: Sequence[Record]) -> list[Record]:
    """Order records by the part in which they are booked, each part in the sheet's order."""
    return sorted(records, key=lambda record: kind.part(record.words))


def _place(finding: Finding) -> tuple[int, int]:
    letters = finding.cell.rstrip("0123456789")
    return finding.row or 0, column_number(letters) if letters else 0


@contextmanager
def _tried_only() -> Iterator[None]:
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


class _Table:
    """Settles the records of one sheet, one after the other."""

    def __init__(self, checked: Checked, desk: Desk, answers: AnswerSheet) -> None:
        self._checked = checked
        self._kind = checked.kind
        self._sheet = checked.sheet
        self._desk = desk
        self._answers = answers
        self._made: dict[str, int] = {}  # number of a lot -> the row that makes it

    def settle_all(self, progress: Progress) -> None:
        """Read all records once, look up what they name, then settle each."""
        records = self._checked.to_save
        readings = {id(record): self._read(record) for record in records}
        self._kind.expect(self._desk, [record.words for record in records])
        for number, record in enumerate(in_parts(self._kind, records)):
            if number % STEP == 0:
                progress(number, len(records))
            self._settle(record, readings[id(record)])

    def _read(self, record: Record) -> list[RowCells]:
        cells = [RowCells(self._sheet, row, record.decided) for row in record.rows]
        record.words = self._kind.read(cells)
        return cells

    def _settle(self, record: Record, cells: list[RowCells]) -> None:
        """Read and plan until all is answered, or no answer changes anything any more."""
        asking = Asking(self._sheet, record, self._answers)
        for _ in range(TRIES):
            if not asking.hear([each for row in cells for each in row.said]):
                planned, stands_in_the_way = self._plan(record, cells)
                if not asking.hear(planned):
                    if stands_in_the_way and not record.is_open:
                        asking.refuse(planned)
                    return
            if record.is_left_out:
                return
            cells = self._read(record)
        record.is_open = True

    def _plan(self, record: Record, cells: Sequence[RowCells]) -> tuple[list[Said], bool]:
        """Plan a record; give what is said about it and whether anything of that stands in the way."""
        reader = Reader(self._desk, record.reasons)
        mistakes: Sequence[Mistake] = ()
        try:
            with self._desk.trying():
                drafts = self._kind.plan(reader, record.words, User())
        except Refused as refused:
            mistakes = self._in_this_sheet(refused.mistakes)
        else:
            for draft in drafts:
                for lot in _lots_made(draft.rows):
                    self._made[lot] = record.rows[0].number
        unread = {name for row in cells for name in row.unread}
        said = [self._placed(record, mistake) for mistake in (*reader.notes, *mistakes)]
        is_mass_unread = any(self._sheet.vocabulary.field(name).reads in MASSES for name in unread)
        dropped = self._kind.compared if is_mass_unread else ()
        return [each for each in said if each.field not in unread and each.mistake.code not in dropped], bool(mistakes)

    def _in_this_sheet(self, mistakes: Sequence[Mistake]) -> list[Mistake]:
        """Say of a lot that it stands in another row; a row typed twice is asked about as that alone."""
        if any(mistake.level is Level.DUPLICATE for mistake in mistakes):
            mistakes = [mistake for mistake in mistakes if mistake.code != "lot_taken"]
        return [self._with_row(mistake) for mistake in mistakes]

    def _with_row(self, mistake: Mistake) -> Mistake:
        if mistake.code not in ("lot_taken", "already_in"):
            return mistake
        number = next((found for found in NUMBER.findall(mistake.says) if found in self._made), None)
        if number is None:
            return mistake
        if mistake.code == "lot_taken":
            return LotInSheet(number, self._made[number])
        mistake.says = f"{mistake.says} It is in row {self._made[number]} of this sheet."
        return mistake

    def _placed(self, record: Record, mistake: Mistake) -> Said:
        """Put what an act says at the column it belongs to, in the record's first row that has something there."""
        headings = self._sheet.headings
        names = [
            name for name in self._kind.columns.get(mistake.field, (mistake.field,)) if name in headings.columns
        ]  # fmt: skip
        for name in names:
            for row in record.rows:
                if headings.cell(row, name).is_filled:
                    return Said(row.number, name, mistake)
        return Said(record.rows[0].number, names[0] if names else "", mistake)


def _lots_made(rows: Sequence[object]) -> Iterator[str]:
    for row in rows:
        if type(row).__name__ == "Identity":
            yield row.lot.number  # type: ignore[attr-defined]
