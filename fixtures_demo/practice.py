"""A practice copy: the station with its people, crosses, lines, plots, blocks and field weights, and no lots."""

from collections.abc import Sequence
from datetime import datetime, time

from django.contrib.auth.models import User

from fixtures_demo.calendar import ZONE
from fixtures_demo.season import weighed_on
from fixtures_demo.tables import Row, table
from inventory.actions.crosses import NewCross, add_crosses
from inventory.actions.lines import NewLine, add_classes, add_lines
from inventory.actions.people import add_person, open_station
from inventory.actions.places import add_places
from inventory.actions.plots import NewPlot, PlotWeight, add_plots, add_sites, weigh_plots
from inventory.models import Station

PEOPLE = (
    ("intake", "intake"), ("line", "line"), ("bench-1", "bench"), ("bench-2", "bench"), ("breeder", "breeder"),
)  # fmt: skip
SITES = {"QM": "Quillmarsh, home farm", "HM": "Hestermere field"}
PLACES = {
    "F-1": "intake floor", "L-1": "end of the line",
    **{f"C-{number}": "cold room shelf" for number in range(1, 9)},
}  # fmt: skip


def practice_copy(now: datetime | None = None) -> Station:
    """Set up the practice copy through actions.

    Args:
        now: the clock; later days are refused.
    """
    station = bare_station(now)
    records = User.objects.get(username="records")
    add_plots([_plot(row) for row in table("plots")], station=station, by=records, now=now)
    weighed = [_weight(row) for row in table("plots") if row["field_kg"]]
    weigh_plots(weighed, station=station, by=records, now=now)
    return station


def bare_station(now: datetime | None = None) -> Station:
    """Open the station with its people, places, sites, crosses and lines, and no plots yet."""
    station = open_station("QM", "Quillmarsh Station", records="records", zone=ZONE.key, at="2024-05-01", now=now)
    records = User.objects.get(username="records")
    for name, role in PEOPLE:
        add_person(name, role, station=station, by=records, at="2024-05-01", now=now)
    add_places(PLACES, station=station, by=records, at="2024-05-01", now=now)
    add_sites(SITES, station=station, by=records, at="2024-05-01", now=now)
    _add_lines(station, records, now)
    return station


def _add_lines(station: Station, records: User, now: datetime | None) -> None:
    classes: Sequence[str] = list(dict.fromkeys(row["class"] for row in table("lines")))
    add_classes(classes, station=station, by=records, at="2024-05-01", now=now)
    crosses = [
        NewCross(code=row["cross"], female=row["female"], male=row["male"], at="2024-05-01") for row in table("crosses")
    ]
    add_crosses(crosses, station=station, by=records, now=now)
    lines = [
        NewLine(name=row["line"], market_class=row["class"], cross=row["cross"], at="2024-05-01")
        for row in table("lines")
    ]
    add_lines(lines, station=station, by=records, now=now)


def _plot(row: Row) -> NewPlot:
    return NewPlot(
        code=row["plot"], line=row["line"], site=row["site"], season=int(row["season"]), trial=row["trial"],
        rep=int(row["rep"]) if row["rep"] else None, position=int(row["position"]) if row["position"] else None,
        is_block=not row["trial"], area=row["area"], area_unit=row["area_unit"], sown_on=row["sown"],
        sown_from_note=row["sown_from"], generation=int(row["generation"]) if row["generation"] else None,
        at=row["sown"],
    )  # fmt: skip


def _weight(row: Row) -> PlotWeight:
    at = datetime.combine(weighed_on(row["plot"]), time(8), ZONE)
    return PlotWeight(plot=row["plot"], mass=row["field_kg"], is_estimate=row["field_is"] == "estimate", at=at)
