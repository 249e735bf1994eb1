"""Runs over the cleaning line: a row, or several rows under one run number, are one run."""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from django.contrib.auth.models import User

from inventory.actions.desk import Desk
from inventory.actions.drafts import Draft
from inventory.actions.expecting import expect_floor, expect_lots, expect_words
from inventory.actions.reader import Reader
from inventory.actions.running import Out, Run, plan_run
from inventory.importing.cells import RowCells, SheetRead
from inventory.importing.kinds.kind import Group, Kind, in_unit
from inventory.importing.table import Row
from inventory.importing.vocabulary import RUNS
from inventory.models import Place, Station
from inventory.rules.mass import ReadMass
from inventory.rules.mistakes import Mistake, Question
from inventory.rules.reading import listed, plain, quoted, typed_text
from inventory.rules.runs import MACHINES

OUTPUTS = ("", "_2", "_3", "_4")
STREAM_OF = {
    "scalp": "scalpings", "through": "throughs", "air": "liftings", "lights": "lights", "middlings": "middlings",
    "stones": "stones", "picked": "picked",
}  # fmt: skip
ONCE = ("date", "machine", "feed_lot", "feed", "unaccounted", "clean_out", "screens")  # a run has one of each


class RowsOfRunDiffer(Mistake):
    """Two rows of one run say different things about it."""

    code = "rows_of_run_differ"

    def __init__(self, run: str, heading: str, first: tuple[int, str], other: tuple[int, str]) -> None:
        super().__init__(
            f"{heading} of run {run} reads {quoted(first[1])} in row {first[0]} and {quoted(other[1])} in row "
            f"{other[0]}. Make them equal, or give one of the rows another run number."
        )


class SpoutTwice(Question):
    """The same mass was taken off in two rows of one run: one weighing copied down, or two."""

    code = "spout_twice"

    def __init__(self, run: str, heading: str, typed: str, rows: Sequence[int]) -> None:
        super().__init__(
            f"{heading} {quoted(typed)} stands in rows {listed([str(row) for row in rows], 'and')} of run {run}. "
            "Is it one weighing written twice? Then take it once; keep it if both were weighed.",
            proposal="once",
        )


def group_runs(sheet: SheetRead) -> list[Group]:
    """Put rows of the same run number together; a row without one and without a feed goes on with the run above."""
    groups: dict[str, list[Row]] = {}
    above = ""
    for row in sheet.rows:
        number = plain(sheet.headings.cell(row, "run").text).casefold()
        if not number and above and not sheet.headings.cell(row, "feed_lot").is_filled:
            number = above
        above = number or f"row {row.number}"
        groups.setdefault(above, []).append(row)
    return [tuple(rows) for rows in groups.values()]


def read_run(rows: Sequence[RowCells]) -> Run:
    """Read the rows of one run."""
    first = rows[0]
    number = first.text("run")
    at = first.date("date", needed=True)
    _must_agree(number, rows)
    feed, unaccounted = first.mass("feed"), _first(rows, "unaccounted")
    unit = feed.unit if feed else "kg"
    return Run(
        number=number or _number_from(at, first),
        at=at,
        machines=first.text("machine"),
        feed_lot=first.lot("feed_lot"),
        feed=in_unit(feed, unit),
        outs=[out for row in rows for out in _outs(row, unit)],
        taken_off=_taken_off(number, rows, unit),
        unaccounted=in_unit(unaccounted.mass("unaccounted"), unit) if unaccounted else None,
        is_cleaned_out=first.yes("clean_out", otherwise=True),
        settings=", ".join(dict.fromkeys(text for row in rows if (text := row.text("screens")))),
        unit=unit,
    )


def _number_from(at: Any, first: RowCells) -> str:
    """Name a run that has no number by its day and row, so that two of a day differ."""
    return f"{typed_text(at)[:10]}/{first.row.number}" if at else f"row {first.row.number}"


def _first(rows: Sequence[RowCells], name: str) -> RowCells | None:
    return next((row for row in rows if row.cell(name).is_filled), None)


def _must_agree(number: str, rows: Sequence[RowCells]) -> None:
    """Say where a later row of a run tells something else than the first about what a run has only one of."""
    for name in ONCE:
        stands = rows[0].cell(name)
        for other in rows[1:]:
            cell = other.cell(name)
            if name != "screens" and cell.is_filled and not _same(stands.value, cell.value):
                heading = other.sheet.headings.heading(name)
                other.say(
                    name,
                    RowsOfRunDiffer(
                        number, heading, (rows[0].row.number, stands.text), (other.row.number, cell.text)
                    ),
                )  # fmt: skip


def _same(first: object, other: object) -> bool:
    if isinstance(first, Decimal) and isinstance(other, Decimal):
        return first == other
    return plain(typed_text(first)).casefold() == plain(typed_text(other)).casefold()


def _outs(row: RowCells, unit: str) -> list[Out]:
    """Read the lots that came out in one row: up to four, side by side."""
    outs = []
    for tail in OUTPUTS:
        mass, lot = row.mass(f"clean{tail}"), row.lot(f"out_lot{tail}")
        place = row.code(f"place{tail}", row.sheet.known.places)
        if mass or lot:
            outs.append(Out(mass=in_unit(mass, unit), lot=lot, place=place or ""))
    return outs


def _taken_off(number: str, rows: Sequence[RowCells], unit: str) -> dict[str, Any]:
    """Add up what came off at each spout, asking where a later row repeats a weighing."""
    taken: dict[str, Any] = {}
    for name, stream in STREAM_OF.items():
        read = [(row, mass) for row in rows if (mass := row.mass(name)) is not None]
        if len(read) > 1 and len({mass.mg for _row, mass in read}) == 1 and read[0][1].mg:
            where = [row.row.number for row, _mass in read]
            last = read[-1][0]
            last.say(name, SpoutTwice(number, last.sheet.headings.heading(name), read[0][1].typed, where))
        if read:
            taken[stream] = _sum([mass for _row, mass in read], unit)
    return taken


def _sum(masses: Sequence[ReadMass], unit: str) -> Any:
    if len(masses) == 1:
        return in_unit(masses[0], unit)
    if {mass.unit for mass in masses} == {unit}:
        return sum(mass.amount for mass in masses)
    return f"{sum(mass.mg for mass in masses)} mg"


def expect(desk: Desk, runs: Sequence[Run]) -> None:
    """Look up what the runs name, and the end of the line if any lot stands there."""
    outs = [out for run in runs for out in run.outs]
    expect_lots(desk, [lot for lot in (*(run.feed_lot for run in runs), *(out.lot for out in outs)) if lot])
    expect_words(desk, places=[out.place for out in outs])
    if not all(out.place for out in outs):
        expect_floor(desk, desk.station.line_end)


def plan(reader: Reader, run: Run, by: User) -> Sequence[Draft]:
    """Plan the run."""
    return [plan_run(reader, run, by=by)]


def lists(station: Station) -> Mapping[str, Sequence[str]]:
    """Offer machines and places."""
    places = list(Place.objects.filter(station=station).order_by("code").values_list("code", flat=True))
    return {"machine": list(MACHINES), "clean_out": ["yes", "no"], **{f"place{tail}": places for tail in OUTPUTS}}


KIND = Kind(
    RUNS,
    ("clean",),
    read_run,
    expect,
    plan,
    {
        "at": ("date",), "out": ("clean",), "lot": ("out_lot", "feed_lot"), "machines": ("machine",),
        "mass": ("feed",), "bags": ("feed",), **{stream: (name,) for name, stream in STREAM_OF.items()},
    },
    compared=("too_much_out", "loss_over_allowed", "unaccounted_differs"),
    group=group_runs,
    lists=lists,
)  # fmt: skip
