"""A checked sheet as its page shows it: what is asked, the sheet with its cells marked, what was read as meant."""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from django.utils.translation import gettext, gettext_lazy

from inventory.importing.asking import LEAVE_OUT
from inventory.importing.checking import Checked
from inventory.importing.findings import Finding
from inventory.importing.loading import Outcome
from inventory.importing.table import Cell, Row, SheetTable, column_letter, column_number
from inventory.models import SheetDraft
from inventory.rules.mistakes import Level
from inventory.rules.rounding import half_up

MOST_ASKED = 50  # questions on a page; the others follow as these are answered
MOST_ROWS = 60  # rows of the sheet on a page
MOST_NOTES = 200
_WORST = (Level.ERROR, Level.DUPLICATE, Level.QUESTION, Level.NOTE)
_TO_THE_MILLIGRAM = re.compile(r"(\d+\.\d{4,}) kg")
MARKS: Mapping[Level, tuple[str, object]] = {
    Level.ERROR: ("✕", gettext_lazy("wrong")),
    Level.DUPLICATE: ("‖", gettext_lazy("twice?")),
    Level.QUESTION: ("?", gettext_lazy("asked")),
    Level.NOTE: ("→", gettext_lazy("read as")),
}


@dataclass(frozen=True)
class Choice:
    """A button that answers: what it sends, what stands on it."""

    sends: str
    words: str


@dataclass(frozen=True)
class Asked:
    """A question of a sheet, with what may be answered with one press.

    Attributes:
        seen: the answer that it has and that does not settle it; "" for none.
        same: how many further questions of this column have a proposal.
    """

    finding: Finding
    mark: str
    word: str
    choices: tuple[Choice, ...]
    seen: str = ""
    same: int = 0

    @property
    def leaves_out(self) -> bool:
        """Whether what is proposed is to leave the row out."""
        return self.finding.proposal == LEAVE_OUT

    @property
    def id(self) -> str:
        """Its id on the page."""
        return f"q-{self.finding.row or 0}-{self.finding.cell or 'row'}"


@dataclass(frozen=True)
class GridCell:
    """A cell: what stands there, its mark and word where something is said of it, what it is read as."""

    ref: str
    text: str
    level: str = ""
    mark: str = ""
    word: str = ""
    read_as: str = ""
    is_merged: bool = False


@dataclass(frozen=True)
class GridRow:
    """A row of the sheet: "head" for its headings, "out" where it is not saved, "data" else."""

    number: int
    kind: str
    cells: tuple[GridCell, ...]


@dataclass(frozen=True)
class Given:
    """An answer that was given, with who gave it."""

    row: int | None
    column: str
    words: str
    by: str
    reason: str
    sends: str


@dataclass(frozen=True)
class SheetView:
    """All that the page of a sheet shows."""

    outcome: Outcome
    asked: tuple[Asked, ...]
    more_asked: int
    letters: tuple[str, ...]
    rows: tuple[GridRow, ...]
    first: int  # of all rows of the sheet, counted from 0
    of: int
    notes: tuple[Finding, ...]
    given: tuple[Given, ...]
    to_save: int = 0
    left_out: int = 0
    no_records: int = 0

    @property
    def waiting(self) -> int:
        """How many questions are open."""
        return len(self.asked) + self.more_asked

    @property
    def before(self) -> int | None:
        """Where the rows before these begin."""
        return max(0, self.first - MOST_ROWS) if self.first else None

    @property
    def after(self) -> int | None:
        """Where the rows after these begin."""
        return self.first + MOST_ROWS if self.first + MOST_ROWS < self.of else None


def sheet_view(outcome: Outcome, draft: SheetDraft, first: int) -> SheetView:
    """Lay a checked sheet out.

    Args:
        first: row from which the sheet is shown, counted from 0 without blank rows.
    """
    checked = outcome.checked
    if checked is None:
        raise ValueError("what stands in the books already is shown by its load")
    open_ = [finding for finding in outcome.findings if finding.is_open]
    notes = [finding for finding in outcome.findings if not finding.is_open]
    rows = checked.sheet.table.rows
    first = first if 0 <= first < len(rows) else 0
    letters = _letters(checked.sheet.table)
    return SheetView(
        outcome, tuple(_asked(open_, draft)), max(0, len(open_) - MOST_ASKED), letters,
        tuple(_grid(checked, rows[first : first + MOST_ROWS], letters, outcome.findings, _values(checked, draft))),
        first, len(rows), tuple(notes[:MOST_NOTES]), tuple(_given(draft, notes)), len(checked.to_save),
        _left_out(checked), _no_records(checked),
    )  # fmt: skip


def _left_out(checked: Checked) -> int:
    """Count records that are not saved."""
    return len(checked.records) - len(checked.to_save)


def _no_records(checked: Checked) -> int:
    """Count rows below the headings that hold something and are no record: totals, remarks."""
    below = [row for row in checked.sheet.table.rows if row.number > checked.sheet.headings.row_number]
    return len(below) - len(checked.sheet.rows)


def _saved_rows(checked: Checked) -> set[int]:
    return {row.number for record in checked.to_save for row in record.rows}


def _values(checked: Checked, draft: SheetDraft) -> dict[str, str]:
    """What was given for cells in place of what stands there: "B8" -> what it is read as."""
    letters = {column.heading: column.letter for column in checked.sheet.headings.columns.values()}
    given = [one for one in draft.answers.get(draft.kind, []) if one["row"] and one["column"] in letters]
    return {
        f"{letters[one['column']]}{one['row']}": str(one["answer"])
        for one in given
        if one["answer"] not in ("accept", "keep", LEAVE_OUT)
    }


def _asked(open_: Sequence[Finding], draft: SheetDraft) -> Iterable[Asked]:
    answers = {(answer["row"], answer["column"]): str(answer["answer"]) for answer in draft.answers.get(draft.kind, [])}
    alike = [finding.column for finding in open_ if _may_accept(finding)]
    for finding in sorted(open_, key=lambda one: (one.row or 0, _WORST.index(one.level)))[:MOST_ASKED]:
        mark, word = MARKS[finding.level]
        same = alike.count(finding.column) - 1 if finding.column and _may_accept(finding) else 0
        seen = answers.get((finding.row, finding.column), "")
        yield Asked(finding, mark, str(word), tuple(_choices(finding)), seen, same)


def _may_accept(finding: Finding) -> bool:
    return finding.proposal is not None


def _choices(finding: Finding) -> Iterable[Choice]:
    if finding.row is None:
        return
    leaves = finding.proposal == LEAVE_OUT or (finding.level is Level.DUPLICATE and finding.proposal is None)
    if finding.readings:
        for reading in sorted(finding.readings, key=lambda one: one != finding.proposal):
            yield Choice(reading, gettext("Read it as %(value)s") % {"value": reading})
    elif finding.proposal is not None and not leaves:
        yield Choice("accept", gettext("Take %(value)s") % {"value": _readable(finding.proposal)})
    if leaves:
        yield Choice("leave_out", gettext("Leave row %(row)s out") % {"row": finding.row})
    if finding.may_keep:
        typed = gettext("Keep %(value)s") % {"value": finding.value} if finding.value else gettext("Keep it so")
        yield Choice("keep", typed)
    if not leaves:
        yield Choice("leave_out", gettext("Leave row %(row)s out") % {"row": finding.row})


def _readable(proposal: str) -> str:
    """Cut a mass that was converted to the milligram to what a person reads; it is taken whole."""
    found = _TO_THE_MILLIGRAM.fullmatch(proposal)
    return f"{half_up(Fraction(found[1]), 2)} kg" if found else proposal


def _letters(table: SheetTable) -> tuple[str, ...]:
    last = max((column_number(cell.letter) for row in table.rows for cell in row.filled), default=1)
    return tuple(column_letter(number) for number in range(1, last + 1))


def _grid(
    checked: Checked, rows: Sequence[Row], letters: Sequence[str], findings: Sequence[Finding],
    values: Mapping[str, str],
) -> Iterable[GridRow]:  # fmt: skip
    at: dict[str, Finding] = {}
    for finding in findings:
        if finding.cell and (finding.cell not in at or _worse(finding, at[finding.cell])):
            at[finding.cell] = finding
    saved, head = _saved_rows(checked), checked.sheet.headings.row_number
    for row in rows:
        kind = "head" if row.number == head else "data" if row.number in saved else "out"
        yield GridRow(row.number, kind, tuple(_cell(row.cell(letter), at, values) for letter in letters))


def _worse(one: Finding, other: Finding) -> bool:
    return _WORST.index(one.level) < _WORST.index(other.level)


def _cell(cell: Cell, at: Mapping[str, Finding], values: Mapping[str, str]) -> GridCell:
    finding, value = at.get(cell.ref), values.get(cell.ref, "")
    if value and (finding is None or finding.level is Level.NOTE):
        mark, word = MARKS[Level.NOTE]
        return GridCell(cell.ref, cell.text, Level.NOTE.value, mark, str(word), value, cell.merged_from is not None)
    if finding is None:
        return GridCell(cell.ref, cell.text, is_merged=cell.merged_from is not None)
    mark, word = MARKS[finding.level]
    read_as = "" if finding.proposal in (None, LEAVE_OUT) else str(finding.proposal)
    word = gettext("noted") if finding.level is Level.NOTE and not read_as else word
    mark = "·" if finding.level is Level.NOTE and not read_as else mark
    return GridCell(cell.ref, cell.text, finding.level.value, mark, str(word), read_as, cell.merged_from is not None)


def _given(draft: SheetDraft, notes: Sequence[Finding]) -> Iterable[Given]:
    kept = draft.answers.get(draft.kind, [])
    read = {(note.row, note.column): str(note.proposal) for note in notes if note.proposal not in (None, LEAVE_OUT)}
    for answer in sorted(kept, key=lambda one: (one["row"], one["column"])):
        said, at = str(answer["answer"]), (answer["row"], answer["column"])
        yield Given(*at, _words(said, read.get(at, "")), answer.get("by", ""), answer.get("reason", ""), said)


def _words(said: str, read: str) -> str:
    if said == "accept" and read:
        return gettext("taken as proposed, %(value)s") % {"value": _readable(read)}
    words = {
        "accept": gettext("taken as proposed"),
        "keep": gettext("kept as typed"),
        LEAVE_OUT: gettext("row left out"),
    }
    return words.get(said, gettext("read as %(value)s") % {"value": said})
