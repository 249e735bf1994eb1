"""Write down what is seen of plots and lots: a value of a variable, kept as exact text; put right by noting it anew."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from uuid import UUID

from django.contrib.auth.models import User
from django.db.models import Model

from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Known, Typed
from inventory.actions.drafts import Draft
from inventory.actions.expecting import expect_lots, expect_plots
from inventory.actions.origin import entered, plan_each
from inventory.actions.posting import post_all
from inventory.actions.reader import Missing, Reader, sure
from inventory.actions.reversing import plan_reversals
from inventory.models import FieldNote, Plot, PlotStage, Station
from inventory.queries.notes import find_note, newest_note
from inventory.queries.variables import shipped_variables
from inventory.rules.dates import FutureDate
from inventory.rules.field import stage_mistakes
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import plain, typed_text
from inventory.rules.variables import NotNotedOf, ReadValue, Variable, find_variable, read_value

LONGEST_OBSERVER = 160


@dataclass(frozen=True, kw_only=True)
class Noting:
    """One note as it was typed: of a plot or of a lot; `at` is when it was seen."""

    variable: str = field(metadata={"looks": "flowering, white mold, yield …"})
    value: Typed = field(metadata={"looks": "on the scale of the variable: 2024-07-12, 4, 2150"})
    plot: str = ""
    lot: Typed = None
    moisture: Typed = field(default=None, metadata={"looks": "% wet basis at which a yield stands, such as 16"})
    observer: str = ""
    at: Typed = None


@dataclass(frozen=True, kw_only=True)
class Amending(Noting):
    """A note as it should have read; without the id of the one it puts right, the newest of its variable is meant."""

    note: Typed = field(default=None, metadata={"looks": "id of the note that is wrong"})


class AboutOneThing(Mistake):
    """A note that hangs on nothing, or on two things."""

    code = "about_one_thing"

    def __init__(self) -> None:
        super().__init__("A note is of one plot or of one lot. Name the one that was looked at.", field="plot")


class NothingToAmend(Mistake):
    """No note that could be put right."""

    code = "nothing_to_amend"

    def __init__(self, of: str, variable: str) -> None:
        super().__init__(f"Nothing was noted of {of} as {variable}. Note it first.", field="variable")


@action("note")
def note_all(
    notes: Sequence[Noting], *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Write notes down, each an act of its own, so that each can be put right alone; all or none.

    Raises:
        Refused: a plot, lot or variable is not known, a value cannot be read, or lies off its scale unanswered.
    """
    desk = Desk(station, now)
    expect_noted(desk, notes)
    drafts = plan_each(
        notes, lambda asked: plan_note(Reader(desk, answers), asked, by=by, key=key, reason=reason)
    )  # fmt: skip
    return Booked(tuple(post_all(drafts)))


@action("note")
def amend_notes(
    amended: Sequence[Amending], *, station: Station, by: User, reason: str, key: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Put notes right: each is reversed and noted anew under its own id, in one transaction and for one reason.

    Raises:
        Refused: a note is not known or named twice, or the new one cannot be written.
    """
    reader = Reader(Desk(station, now), answers)
    why = reader.reason(reason, "a note that is put right")
    found = [_wrong_note(reader, asked) for asked in amended]
    reader.finish()
    before = [sure(note) for note in found]
    acts = list({note.operation_id: note.operation for note in before}.values())
    reversals = post_all(plan_reversals(reader, acts, by=by, at=reader.desk.now, reason=why, key=key))
    desk = Desk(station, now)
    expect_noted(desk, amended)
    drafts = plan_each(
        zip(amended, before, strict=True),
        lambda pair: plan_note(
            Reader(desk, answers), pair[0], by=by, key=key, reason=why, uid=pair[1].uid, sample=pair[1].sample
        ),
    )
    for draft, note in zip(drafts, before, strict=True):
        draft.about = note.operation
    return Booked((*reversals, *post_all(drafts)))


def expect_noted(desk: Desk, notes: Iterable[Noting]) -> None:
    """Look up at once what these notes are of."""
    listed = list(notes)
    expect_plots(desk, [asked.plot for asked in listed if asked.plot])
    expect_lots(desk, [asked.lot for asked in listed if asked.lot not in (None, "")])


def plan_note(
    reader: Reader, asked: Noting, *, by: User, key: str = "", reason: str = "", uid: UUID | None = None,
    sample: str = "",
) -> Draft:  # fmt: skip
    """Plan one note on the reader's desk.

    Args:
        uid: of the note that this one puts right.
        sample: number of the lot's sample that was looked at; the caller has found it.

    Raises:
        Refused: all that stands in the way of this note.
    """
    at = reader.when(asked.at)
    reader.note_typed(**vars(asked), sample=sample)
    plot, known = _about(reader, asked)
    variable = reader.attempt(lambda: find_variable(shipped_variables(), asked.variable))
    read = _value(reader, variable, asked.value) if variable else None
    if variable:
        _check_of(reader, variable, "plot" if asked.plot else "sample" if sample else "lot")
    moisture = _moisture(reader, variable, asked.moisture)
    observer = reader.text(plain(typed_text(asked.observer)), "observer", "", LONGEST_OBSERVER, needed=False)
    rows: list[Model] = []
    if variable and read and (plot or known):
        note = FieldNote(
            station=reader.desk.station, plot=plot, lot=known.lot if known else None, sample=sample,
            variable=variable.id, value=read.text, moisture_pct="" if moisture is None else f"{moisture:f}",
            observer=observer, **({"uid": uid} if uid else {}),
        )  # fmt: skip
        rows = [note, *_stage(reader, variable, plot, read)]
    return entered(reader, {}, kind="note", by=by, at=at, reason=reason, key=key, rows=rows)


def stage_note(plot: Plot, stage: str, value: str) -> list[FieldNote]:
    """Make the note that a stage of a plot is as well."""
    return [
        FieldNote(station=plot.station, plot=plot, variable=variable.id, value=value)
        for variable in shipped_variables()
        if variable.stage == stage
    ]


def _wrong_note(reader: Reader, asked: Amending) -> FieldNote | None:
    """Find the note that is wrong: by its id, else the newest of its plot or lot and variable."""
    station = reader.desk.station
    if asked.note not in (None, ""):
        return reader.attempt(lambda: find_note(station, asked.note))
    plot, known = _about(reader, asked)
    variable = reader.attempt(lambda: find_variable(shipped_variables(), asked.variable))
    if variable is None or (plot is None and known is None):
        return None
    about = plot or sure(known).lot
    note = newest_note(about, variable.id)
    if note is None:
        reader.add(NothingToAmend(str(about), variable.name))
    return note


def _about(reader: Reader, asked: Noting) -> tuple[Plot | None, Known | None]:
    has_plot, has_lot = bool(asked.plot), asked.lot not in (None, "")
    if has_plot == has_lot:
        reader.add(AboutOneThing())
        return None, None
    return (reader.plot(asked.plot), None) if has_plot else (None, reader.lot(asked.lot))


def _value(reader: Reader, variable: Variable, typed: Typed) -> ReadValue | None:
    if typed_text(typed).strip() == "":
        reader.add(Missing("value", "4"))
        return None
    read = reader.attempt(lambda: read_value(variable, typed))
    if read is None:
        return None
    reader.notes.extend(read.notes)
    reader.add(*read.mistakes)
    today = reader.desk.local_day(reader.desk.now)
    if read.day and read.day > today:
        reader.add(FutureDate(read.day, today, field="value"))
    return read


def _check_of(reader: Reader, variable: Variable, what: str) -> None:
    if what not in variable.of:
        reader.add(NotNotedOf(variable, what))


def _moisture(reader: Reader, variable: Variable | None, typed: Typed) -> Decimal | None:
    if variable and variable.at_moisture and typed in (None, ""):
        reader.add(Missing("moisture", "16 (% wet basis at which the yield stands)"))
    return reader.moisture(typed)


def _stage(reader: Reader, variable: Variable, plot: Plot | None, read: ReadValue) -> list[Model]:
    """Make a note of flowering or maturity the plot's stage, which heat sums are counted to."""
    if not (variable.stage and plot and read.day):
        return []
    reader.add(*stage_mistakes(plot.code, variable.stage, read.day, plot.sown_on))
    return [PlotStage(station=reader.desk.station, plot=plot, stage=variable.stage, day=read.day)]
