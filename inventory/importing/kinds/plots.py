"""Plots and blocks: each row enters one, and its field weight where the sheet has one."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.contrib.auth.models import User

from inventory.actions.desk import Desk
from inventory.actions.drafts import Draft
from inventory.actions.expecting import expect_plots, expect_words
from inventory.actions.plots import (
    NewPlot,
    PlotWeight,
    expect_new_plots,
    plan_plot,
    plan_weight,
    save_new_plots,
)  # fmt: skip
from inventory.actions.reader import Reader
from inventory.importing.cells import RowCells
from inventory.importing.fields import fold
from inventory.importing.kinds.kind import Kind, in_unit
from inventory.importing.vocabulary import PLOTS
from inventory.models import LineName, Plot, Site, Station
from inventory.rules.mass import read_mass
from inventory.rules.mistakes import Mistake, Note, Question
from inventory.rules.reading import ReadAs, plain, quoted

LETTER_AMONG_DIGITS = re.compile(r"(?<=\d)[OoIl]+(?=\d)")
AS_DIGIT = {"O": "0", "o": "0", "I": "1", "l": "1"}
LONGEST_NOTE = 200  # signs; the whole cell is kept with the act
_SOWN_FROM = re.compile(r"^\s*(?:sown (?:from|with)|semé (?:de|avec)|sembrado (?:de|con))\s+", re.IGNORECASE)
GENERATION = re.compile(r"[Ff] ?(\d{1,2})|(\d{1,2})")


class LetterInCode(Question):
    """A new plot's code has a letter where a digit may be meant."""

    code = "letter_in_code"

    def __init__(self, typed: str, meant: str) -> None:
        super().__init__(f"{quoted(typed)} has a letter among its digits. Did you mean {meant}?", proposal=meant)


class NotAGeneration(Mistake):
    """A generation that can't be read."""

    code = "not_a_generation"

    def __init__(self, typed: str) -> None:
        super().__init__(f"{quoted(typed)} is no generation. Write it like F8, or leave it empty.")


class SeedNotTaken(Note):
    """A sheet of plots says how much seed was sown, and books none."""

    code = "seed_not_taken"

    def __init__(self) -> None:
        super().__init__("The seed that was sown is noted here; it leaves its lot when the sowing is booked.")


@dataclass(frozen=True, kw_only=True)
class PlotRow:
    """A plot and what it weighed in the field."""

    plot: NewPlot
    weight: PlotWeight | None = None


def read_plot(rows: Sequence[RowCells]) -> PlotRow:
    """Read one row as a plot."""
    cells = rows[0]
    sown = cells.date("sown")
    trial, rep, position = cells.text("trial"), cells.count("rep"), cells.count("position")
    plot = NewPlot(
        code=_code(cells),
        line=cells.code("line", cells.sheet.known.lines),
        site=cells.text("site"),
        season=cells.count("season"),
        trial=trial,
        rep=rep,
        position=position,
        is_block=not trial and rep is None and position is None,
        area=cells.value("area"),
        area_unit=_area_unit(cells),
        sown_on=sown,
        sown_from_note=_sown_from(cells),
        generation=_generation(cells),
        at=sown,
    )
    return PlotRow(plot=plot, weight=_weight(cells, plot))


def _code(cells: RowCells) -> str:
    """Read the code: a known plot's forgivingly, a new one as it is written but for letters among its digits."""
    text = plain(cells.text("plot"))
    fits = cells.sheet.known.plots.fits(text)
    if len(fits) == 1:
        if fits[0] != text:
            cells.say("plot", ReadAs(text, fits[0]))
        return fits[0]
    meant = LETTER_AMONG_DIGITS.sub(lambda found: "".join(AS_DIGIT[sign] for sign in found[0]), text)
    if meant != text:
        cells.say("plot", LetterInCode(text, meant))
    return text


def _area_unit(cells: RowCells) -> str:
    column = cells.sheet.headings.columns.get("area")
    unit = (column.unit if column else None) or "m2"
    return "ac" if unit == "acre" else unit


def _sown_from(cells: RowCells) -> str:
    """Say what it was sown from, in words; a mass sown is noted, and leaves its lot by an act of its own."""
    mass = cells.mass("sown_kg")
    if mass is not None:
        cells.say("sown_kg", SeedNotTaken())
    source = cells.text("sown_from") or _SOWN_FROM.sub("", cells.text("remarks"))
    return ", ".join(part for part in (source, mass.words if mass else "") if part)[:LONGEST_NOTE]


def _generation(cells: RowCells) -> int | None:
    text = plain(cells.text("generation"))
    read = GENERATION.fullmatch(text)
    if text and not read:
        cells.say("generation", NotAGeneration(text))
    return int(read[1] or read[2]) if read else None


def _weight(cells: RowCells, plot: NewPlot) -> PlotWeight | None:
    mass = cells.mass("field_weight")
    if mass is None:
        return None
    is_estimate = plot.is_block or "estimate" in fold(cells.sheet.headings.heading("field_weight"))
    return PlotWeight(
        plot=plot.code, mass=in_unit(mass, "kg"), is_estimate=is_estimate, at=cells.date("harvested")
    )  # fmt: skip


def expect(desk: Desk, rows: Sequence[PlotRow]) -> None:
    """Look up the plots, their lines and field weights."""
    codes = [row.plot.code for row in rows]
    expect_new_plots(desk, codes)
    expect_plots(desk, codes)
    expect_words(desk, lines=[row.plot.line for row in rows])


def plan(reader: Reader, row: PlotRow, by: User) -> Sequence[Draft]:
    """Plan the entry of the plot, and of its field weight unless it stands already."""
    entry = plan_plot(reader, row.plot, by=by)
    drafts = [entry] if entry else []
    if row.weight and not _stands(reader.desk, row.weight):
        weighing = Reader(reader.desk, reader.answers)
        drafts.append(plan_weight(weighing, row.weight, by=by))
        reader.notes.extend(weighing.notes)
    return drafts


def _stands(desk: Desk, weight: PlotWeight) -> bool:
    """Say whether the newest field weight of the plot is this one already."""
    plot = desk.found.get((Plot, weight.plot))
    before = desk.weights.get(plot.pk) if plot and plot.pk else None
    return before is not None and before.mg == read_mass(weight.mass, unit="kg").mg


def lists(station: Station) -> Mapping[str, Sequence[str]]:
    """Offer lines and sites."""
    names = LineName.objects.filter(station=station).order_by("name").values_list("name", flat=True)
    sites = Site.objects.filter(station=station).order_by("code").values_list("code", flat=True)
    return {"line": list(names), "site": list(sites)}


COLUMNS: Mapping[str, tuple[str, ...]] = {
    "at": ("sown",), "sown_on": ("sown",), "code": ("plot",), "mass": ("field_weight",),
}  # fmt: skip
KIND: Kind = Kind(
    PLOTS, ("origin", "field weight"), read_plot, expect, plan, COLUMNS, before_posting=save_new_plots, lists=lists
)
