"""Sites, plots, blocks, single plants, and what plots weighed in the field."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.contrib.auth.models import User

from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Typed
from inventory.actions.drafts import Draft
from inventory.actions.origin import NameTaken, entered, plan_each, plan_named, read_name
from inventory.actions.posting import post_all
from inventory.actions.reader import Missing, Reader, sure
from inventory.models import FieldWeight, Plant, Plot, Site, Station
from inventory.queries.finding import find_plot, find_site
from inventory.queries.uses import in_parts
from inventory.rules.area import read_area
from inventory.rules.dates import read_date
from inventory.rules.mistakes import Mistake, Note
from inventory.rules.reading import listed, plain

LONGEST_SITE, LONGEST_CODE, LONGEST_PLANT = 12, 40, 60
_SITE_AND_YEAR = re.compile(r"([A-Za-z]+)(\d{2})-.+")


class PlotStands(Note):
    """A plot came again and is the same."""

    code = "plot_stands"

    def __init__(self, code: str) -> None:
        super().__init__(f"{code} is in the books already, as it is typed here. Nothing was changed.", field="plot")


class PlotDiffers(Mistake):
    """A plot came again and is not the same."""

    code = "plot_differs"

    def __init__(self, code: str, differences: Sequence[str]) -> None:
        super().__init__(
            f"{code} is in the books already, and differs: {listed(list(differences), 'and')}. "
            "Check the code, or mend the one in the books.",
            field="plot",
        )


@dataclass(frozen=True, kw_only=True)
class NewPlot:
    """A plot or block as it was typed; site and season may be read from a code such as QM24-T101."""

    code: str
    line: str
    site: str = ""
    season: int | None = None
    trial: str = ""
    rep: int | None = None
    position: int | None = None
    is_block: bool = False
    area: Typed = None
    area_unit: str = "m2"
    sown_on: Typed = None
    sown_from_note: str = ""
    generation: int | None = None
    at: Typed = None


@dataclass(frozen=True, kw_only=True)
class NewPlant:
    """A single plant, or a row, picked from a plot; without a number it takes the plot's next."""

    plot: str
    number: str = ""
    is_row: bool = False
    at: Typed = None


@dataclass(frozen=True, kw_only=True)
class PlotWeight:
    """What a plot weighed in the field, or what a block is expected to give."""

    plot: str
    mass: Typed
    unit: str = "kg"
    is_estimate: bool = False
    at: Typed = None


@action("origin")
def add_sites(
    sites: Mapping[str, str], *, station: Station, by: User, key: str = "", at: Typed = None,
    now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Enter sites by code and name; one that is in the books under the same name changes nothing.

    Raises:
        Refused: a code stands for another site.
    """
    desk = Desk(station, now)

    def plan(named: tuple[str, str]) -> Draft | None:
        return plan_named(
            Reader(desk), Site, named, field="site", example="QM", longest=LONGEST_SITE, by=by, at=at, key=key
        )

    return Booked(tuple(post_all(plan_each(sites.items(), plan))))


@action("origin")
def add_plots(
    plots: Sequence[NewPlot], *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Enter plots and blocks, each a dated act; one that is in the books as it is typed changes nothing.

    Raises:
        Refused: a line or site is not known, or a plot is in the books and differs.
    """
    desk = Desk(station, now)
    expect_new_plots(desk, [plot.code for plot in plots])
    drafts = plan_each(plots, lambda plot: plan_plot(Reader(desk, answers), plot, by=by, key=key, reason=reason))
    save_new_plots(desk, drafts)
    return Booked(tuple(post_all(drafts)))


def expect_new_plots(desk: Desk, codes: Sequence[str]) -> None:
    """Look up at once which of these plots are in the books, also those that were taken back."""
    wanted = list({code.strip() for code in codes})
    for some in in_parts(wanted):
        rows = Plot.objects.filter(station=desk.station, code__in=some).select_related("line__market_class", "site")
        desk.found.update({(Plot, code): None for code in some})
        desk.found.update({(Plot, plot.code): plot for plot in rows})


def plan_plot(reader: Reader, asked: NewPlot, *, by: User, key: str = "", reason: str = "") -> Draft | None:
    """Plan the entry of a plot; None where it is in the books as it is typed (1 query unless it was expected).

    Raises:
        Refused: all that stands in the way of this plot.
    """
    plot, at = _read_plot(reader, asked), reader.when(asked.at)
    before = _before(reader.desk, plot.code) if plot else None
    if plot and before and not before.taken_back:
        differences = _differences(before, plot)
        if not differences:
            reader.notes.append(PlotStands(plot.code))
            return None
        reader.add(PlotDiffers(plot.code, differences))
    draft = entered(reader, _record(plot), by=by, at=at, key=key, reason=reason)
    _enter(reader.desk, sure(plot), before)
    return draft


def _before(desk: Desk, code: str) -> Plot | None:
    if (Plot, code) not in desk.found:
        expect_new_plots(desk, [code])
    found: Plot | None = desk.found[(Plot, code)]
    return found


def _enter(desk: Desk, plot: Plot, taken_back: Plot | None) -> None:
    """Let this desk know the plot; it is written with all others of the act, or over the row that was taken back."""
    if taken_back is None:
        desk.new_plots.append(plot)
    else:
        plot.pk = taken_back.pk
        plot._state.adding = False
        plot.save()
    desk.found[(Plot, plot.code)] = plot
    desk.found[(find_plot, plot.code)] = (plot, ())


def save_new_plots(desk: Desk, drafts: Sequence[Draft]) -> None:
    """Write the plots that were planned on a desk, all at once, before the drafts that enter and weigh them."""
    Plot.objects.bulk_create(desk.new_plots, batch_size=500)
    for row in (row for draft in drafts for row in draft.rows):
        if isinstance(row, FieldWeight):
            row.plot_id = row.plot.pk


_FIELDS = (
    "site", "season", "line", "trial", "rep", "position", "is_block", "area_m2", "sown_on", "sown_from_note",
    "generation",
)  # fmt: skip


def _read_plot(reader: Reader, asked: NewPlot) -> Plot | None:
    reader.note_typed(**vars(asked))
    code = read_name(reader, asked.code, "plot", "QM24-T101", LONGEST_CODE)
    parts = _SITE_AND_YEAR.fullmatch(code)
    site_code = asked.site or (parts[1] if parts else "")
    season = asked.season or (2000 + int(parts[2]) if parts else None)
    if season is None:
        reader.add(Missing("season", "2024"))
    line = reader.line(asked.line)
    site = reader.attempt(lambda: reader.desk.find(find_site, site_code, "site", reader.notes))
    area = reader.attempt(lambda: read_area(asked.area, unit=asked.area_unit)) if asked.area not in (None, "") else None
    sown = reader.attempt(lambda: read_date(asked.sown_on, field="sown_on").value) if asked.sown_on else None
    if not code or line is None or site is None or season is None:
        return None
    return Plot(
        station=reader.desk.station, site=site, code=code, season=season, line=line, trial=asked.trial, rep=asked.rep,
        position=asked.position, is_block=asked.is_block, area_m2=area, sown_on=sown,
        sown_from_note=asked.sown_from_note, generation=asked.generation,
    )  # fmt: skip


def _differences(before: Plot, now: Plot) -> list[str]:
    return [
        f"{field.replace('_', ' ')} {getattr(before, field) or 'empty'}, now {getattr(now, field) or 'empty'}"
        for field in _FIELDS
        if getattr(before, field) != getattr(now, field)
    ]


def _record(plot: Plot | None) -> dict[str, Any]:
    if plot is None:
        return {}
    values = {field: getattr(plot, field) for field in _FIELDS}
    return {"record": "plot", "code": plot.code, **values, "site": plot.site.code, "line": plot.line.name}


@action("origin")
def add_plants(
    plants: Sequence[NewPlant], *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Enter single plants and rows that were picked from plots: things that lots come from.

    Raises:
        Refused: a plot is not known, or a number stands for a plant already.
    """
    desk = Desk(station, now)

    def plan(asked: NewPlant) -> Draft:
        reader = Reader(desk, answers)
        at, plot = reader.when(asked.at), reader.plot(asked.plot)
        reader.note_typed(**vars(asked))
        number = _plant_number(asked, plot) if plot else ""
        number = read_name(reader, number, "plant", "QM24-T101-1", LONGEST_PLANT) if plot else ""
        if number and Plant.objects.filter(station=station, number=number).exists():
            reader.add(NameTaken("Plant", number, field="plant"))
        record = {"record": "plant", "number": number, "plot": str(plot), "is_row": asked.is_row}
        draft = entered(reader, record, by=by, at=at, key=key, reason=reason)
        Plant.objects.create(station=station, plot=sure(plot), number=number, is_row=asked.is_row)
        return draft

    return Booked(tuple(post_all(plan_each(plants, plan))))


def _plant_number(asked: NewPlant, plot: Plot) -> str:
    """Name a plant: a bare number counts within its plot, "7" -> "QM24-T101-7"; without one it is the next."""
    number = plain(asked.number) or str(plot.plants.count() + 1)
    return f"{plot.code}-{int(number)}" if number.isdecimal() else number


@action("field weight")
def weigh_plots(
    weights: Sequence[PlotWeight], *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Enter field weights of plots and estimates of blocks; a later weighing of a plot goes before an earlier one.

    Raises:
        Refused: a plot is not known or a mass cannot be read.
    """
    desk = Desk(station, now)
    drafts = plan_each(
        weights, lambda weight: plan_weight(Reader(desk, answers), weight, by=by, key=key, reason=reason)
    )
    return Booked(tuple(post_all(drafts)))


def plan_weight(reader: Reader, asked: PlotWeight, *, by: User, key: str = "", reason: str = "") -> Draft:
    """Plan the entry of a field weight.

    Raises:
        Refused: all that stands in the way of it.
    """
    at, plot = reader.when(asked.at), reader.plot(asked.plot)
    reader.note_typed(**vars(asked))
    mass = reader.positive(asked.mass, "mass", asked.unit)
    mg = mass.mg if mass else 0
    row = FieldWeight(station=reader.desk.station, plot=plot, mg=mg, is_estimate=asked.is_estimate)
    return entered(reader, {}, kind="field weight", by=by, at=at, key=key, reason=reason, rows=(row,))
