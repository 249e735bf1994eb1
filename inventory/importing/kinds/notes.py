"""Field notes: each row is a plot, each column a variable, as field books are kept."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

from django.contrib.auth.models import User

from inventory.actions.desk import Desk, Typed
from inventory.actions.drafts import Draft
from inventory.actions.noting import Noting, expect_noted, plan_note
from inventory.actions.reader import Reader
from inventory.importing.cells import RowCells
from inventory.importing.fields import Reads
from inventory.importing.kinds.kind import Kind
from inventory.importing.notes_vocabulary import NOTES
from inventory.models import Plot, Station
from inventory.rules.mistakes import Mistake, Refused

M = TypeVar("M", bound=Mistake)
# Column -> the variable that it holds.
VARIABLES: Mapping[str, str] = {
    "flowering": "flowering", "maturity": "maturity", "bacterial_blight": "bacterial blight",
    "white_mold": "white mold", "standing": "standing", "yield": "yield", "seed_weight": "seed weight",
    "remarks": "remark",
}  # fmt: skip


class NothingNoted(Mistake):
    """A row without any value."""

    code = "nothing_noted"

    def __init__(self, plot: str) -> None:
        super().__init__(f"Nothing is noted of {plot}. Fill a column in, or leave the row out.", field="plot")


@dataclass(frozen=True)
class PlotNotes:
    """What was noted of a plot: column and note."""

    plot: str
    notes: tuple[tuple[str, Noting], ...]


def read_notes(rows: Sequence[RowCells]) -> PlotNotes:
    """Read one row as the notes of a plot."""
    cells = rows[0]
    plot, seen, observer = cells.code("plot", cells.sheet.known.plots), cells.date("date"), cells.text("observer")
    moisture = cells.moisture()
    typed = {column: _value(cells, column) for column in VARIABLES}
    notes = [
        (
            column,
            Noting(
                plot=plot, variable=VARIABLES[column], value=value, observer=observer,
                moisture=moisture if column == "yield" else None,
                at=seen or (value if _reads(column) is Reads.DATE else None),
            ),
        )
        for column, value in typed.items() if value not in (None, "")
    ]  # fmt: skip
    return PlotNotes(plot, tuple(notes))


def _value(cells: RowCells, column: str) -> Typed:
    if _reads(column) is Reads.DATE:
        return cells.date(column)
    return cells.number(column) if _reads(column) is Reads.NUMBER else cells.text(column)


def _reads(column: str) -> Reads:
    return NOTES.field(column).reads


def expect(desk: Desk, rows: Sequence[PlotNotes]) -> None:
    """Look up the plots."""
    expect_noted(desk, [note for row in rows for _column, note in row.notes])


def plan(reader: Reader, row: PlotNotes, by: User) -> Sequence[Draft]:
    """Plan the notes of a plot; what is wrong with a value is said at its column."""
    drafts: list[Draft] = []
    mistakes: list[Mistake] = [] if row.notes else [NothingNoted(row.plot or "this plot")]
    for column, note in row.notes:
        each = Reader(reader.desk, reader.answers)
        try:
            drafts.append(plan_note(each, note, by=by))
        except Refused as refused:
            mistakes += [_at(column, mistake) for mistake in refused.mistakes]
        reader.notes.extend(_at(column, said) for said in each.notes)
    if mistakes:
        raise Refused({(mistake.field, mistake.says): mistake for mistake in mistakes}.values())
    return drafts


def _at(column: str, mistake: M) -> M:
    if mistake.field in ("value", "variable", "day"):
        mistake.field = column
    return mistake


def lists(station: Station) -> Mapping[str, Sequence[str]]:
    """Offer plots."""
    plots = Plot.objects.filter(station=station, taken_back=False)
    return {"plot": list(plots.order_by("code").values_list("code", flat=True))}


KIND: Kind = Kind(NOTES, ("note",), read_notes, expect, plan, {"at": ("date",)}, lists=lists)
