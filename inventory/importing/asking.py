"""What was asked about one record, what was answered, and what is meant as long as nobody has answered.

A question that nobody answered is taken as proposed for the time being, so that the rows below are read as they
would be afterwards; nothing can be saved while it is open.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from inventory.importing.answers import Answer, AnswerKind, Answers
from inventory.importing.cells import Decided, Instead, Said, SheetRead
from inventory.importing.fields import fold
from inventory.importing.findings import Finding, finding_of_row
from inventory.importing.table import Row
from inventory.rules.mistakes import Level, Mistake, Note

KEPT = "kept as typed"
NOT_YET = "not answered yet"
LEAVE_OUT = "leave_out"
Key = tuple[int, str, str]  # row, field, code of the mistake


class LeftOut(Note):
    """A row that an answer leaves out."""

    code = "left_out"

    def __init__(self, row: int) -> None:
        super().__init__(f"Row {row} was left out, as answered.")


class NotAsked(Note):
    """An answer to something that was not asked."""

    code = "not_asked"

    def __init__(self, answer: Answer) -> None:
        where = f"row {answer.row}, {answer.column}" if answer.column else f"row {answer.row}"
        super().__init__(f"The answer for {where} was not needed: nothing was asked there.")


class AnswerSheet:
    """Answers by row and field, and which of them met a question."""

    def __init__(self, answers: Answers, headings: Mapping[str, str]) -> None:
        """Index the answers.

        Args:
            headings: field -> its heading as typed.
        """
        self._fields = {fold(heading): name for name, heading in headings.items()}
        self._by_row: dict[int, dict[str, Answer]] = {}
        self._used: set[int] = set()
        self._all = tuple(answers)
        for answer in self._all:
            name = self._fields.get(fold(answer.column), "") if answer.column else ""
            of_whole_row = not answer.column or answer.kind is AnswerKind.LEAVE_OUT
            if answer.row is not None and (name or of_whole_row):
                self._by_row.setdefault(answer.row, {})[name] = answer

    def of_row(self, row: int) -> Mapping[str, Answer]:
        """Give a row's answers by field; "" is the whole row."""
        return self._by_row.get(row, {})

    def use(self, answer: Answer) -> Answer:
        """Remember that an answer met something."""
        self._used.add(id(answer))
        return answer

    def leaves_out(self, row: int) -> bool:
        """Say whether an answer leaves the row out."""
        found = [answer for answer in self.of_row(row).values() if answer.kind is AnswerKind.LEAVE_OUT]
        for answer in found:
            self.use(answer)
        return bool(found)

    def unused(self) -> list[Answer]:
        """Give the answers that met nothing."""
        return [answer for answer in self._all if id(answer) not in self._used]


@dataclass
class Record:
    """One record of a sheet: its rows, and how far it is settled.

    Args:
        rows: without those that an answer left out.
        decided: what stands in place of the cells' words.
        reasons: code of a question -> why it was kept.
        findings: by row, field and code.
        is_open: something has to be answered.
        is_left_out: it is not saved.
    """

    rows: tuple[Row, ...]
    decided: Decided = field(default_factory=Decided)
    reasons: dict[str, str] = field(default_factory=dict)
    findings: dict[Key, Finding] = field(default_factory=dict)
    given: list[Answer] = field(default_factory=list)
    settled: set[Key] = field(default_factory=set)
    words: object = None
    is_open: bool = False
    is_left_out: bool = False


def open_record(rows: Sequence[Row], answers: AnswerSheet) -> Record:
    """Begin a record: rows left out are gone, values that were answered stand in place of the cells."""
    left_out = [row for row in rows if answers.leaves_out(row.number)]
    kept = tuple(row for row in rows if row not in left_out)
    record = Record(kept, is_left_out=not kept)
    for row in left_out:
        record.findings[(row.number, "", LeftOut.code)] = finding_of_row(row.number, LeftOut(row.number))
    for row in kept:
        for name, answer in answers.of_row(row.number).items():
            if answer.kind is AnswerKind.VALUE and name:
                record.decided.instead[(row.number, name)] = Instead(answer.value)
                record.given.append(answers.use(answer))
    return record


class Asking:
    """Hears what is said about a record and settles it by answers.

    Args:
        sheet: that the record is of.
        record: the record.
        answers: to the whole sheet.
    """

    def __init__(self, sheet: SheetRead, record: Record, answers: AnswerSheet) -> None:
        self._sheet = sheet
        self._record = record
        self._answers = answers

    def hear(self, said: Iterable[Said]) -> bool:
        """Take in what was said; say whether the record is to be read again because of it."""
        changes = [self._hear(each) for each in said]  # all are heard, also after one that changes something
        return any(changes)

    def refuse(self, said: Iterable[Said]) -> None:
        """Leave open what still stands in the way after all answers."""
        for each in said:
            if each.mistake.level is not Level.NOTE:
                self._record.is_open = True
                self._find(each, each.mistake.level)

    def _hear(self, said: Said) -> bool:
        key = (said.row, said.field, said.mistake.code)
        if said.mistake.level is Level.NOTE:
            if key not in self._record.findings:
                self._find(said, Level.NOTE)
            return False
        if key in self._record.settled:
            return False
        self._record.settled.add(key)
        answer = self._answers.of_row(said.row).get(said.field)
        if answer is None or not self._answered(said, answer):
            self._record.is_open = True
            self._find(said, said.mistake.level)
            return self._for_now(said.mistake, said)
        self._record.given.append(self._answers.use(answer))
        self._find(said, Level.NOTE, _answered_words(said.mistake, answer))
        return True

    def _answered(self, said: Said, answer: Answer) -> bool:
        """Do as answered; say whether that settles it."""
        mistake = said.mistake
        if answer.kind is AnswerKind.ACCEPT and (mistake.proposal is not None or mistake.level is Level.DUPLICATE):
            self._accept(said)
            return True
        if answer.kind is AnswerKind.KEEP and mistake.level is not Level.ERROR and not _is_unread(mistake):
            self._record.reasons[mistake.code] = answer.reason or KEPT
            return True
        return False

    def _accept(self, said: Said) -> None:
        """Take the proposal: leave the record out, read its masses as pounds, or put it in place of the cell."""
        mistake, record = said.mistake, self._record
        if mistake.level is Level.DUPLICATE or mistake.proposal == LEAVE_OUT:
            record.is_left_out = True
        elif mistake.code == "maybe_pounds":
            record.decided.unit = "lb"
        elif mistake.code in ("unaccounted_differs", "spout_twice"):
            record.decided.instead[(said.row, said.field)] = Instead(None, is_ours=True)
        else:
            record.decided.instead[(said.row, said.field)] = Instead(mistake.proposal, is_ours=True)

    def _for_now(self, mistake: Mistake, said: Said) -> bool:
        """Read on as if it were answered; say whether that changes anything."""
        if mistake.level is Level.DUPLICATE:
            return False
        if mistake.proposal is not None:
            self._accept(said)
            return True
        if mistake.level is Level.QUESTION and not _is_unread(mistake):
            self._record.reasons[mistake.code] = NOT_YET
            return True
        return False

    def _find(self, said: Said, level: Level, says: str = "") -> None:
        headings, mistake = self._sheet.headings, said.mistake
        column = headings.columns.get(said.field)
        row = next(row for row in self._record.rows if row.number == said.row)
        cell = row.cell(column.letter) if column else None
        self._record.findings[(said.row, said.field, mistake.code)] = Finding(
            said.row,
            column.heading if column else "",
            cell.ref if cell else "",
            cell.text if cell else "",
            level,
            says or mistake.says,
            mistake.proposal,
            tuple(str(reading) for reading in getattr(mistake, "readings", ())),
            may_keep=level in (Level.QUESTION, Level.DUPLICATE) and not _is_unread(mistake),
        )


def _is_unread(mistake: Mistake) -> bool:
    """Say whether a question leaves its value unread, so that no reason settles it."""
    return hasattr(mistake, "readings")


def _answered_words(mistake: Mistake, answer: Answer) -> str:
    if answer.kind is AnswerKind.KEEP:
        return f"{mistake.says} Answered: {answer.reason or KEPT}."
    took = "left out" if mistake.proposal in (None, LEAVE_OUT) else f"read as {mistake.proposal}"
    return f"{mistake.says} Answered: {took}."
