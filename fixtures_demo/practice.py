"""A practice copy: the station with its people, crosses, lines, plots, blocks and field weights, and no lots."""

from datetime import datetime, time

from django.contrib.auth.models import User

from fixtures_demo.calendar import ZONE
from fixtures_demo.people import open_quillmarsh
from fixtures_demo.season import weighed_on
from fixtures_demo.tables import Row, table
from inventory.actions.plots import NewPlot, PlotWeight, add_plots, weigh_plots
from inventory.models import Station


def practice_copy(now: datetime | None = None) -> Station:
    """Set up the practice copy through actions.

    Args:
        now: the clock; later days are refused.
    """
    station = open_quillmarsh(now)
    records = User.objects.get(username="records")
    rows = table("plots")
    add_plots([_plot(row) for row in rows], station=station, by=records, now=now)
    weigh_plots([weight_of(row) for row in rows], station=station, by=records, now=now)
    return station


def _plot(row: Row) -> NewPlot:
    return NewPlot(
        code=row["plot"], line=row["line"], site=row["site"], season=int(row["season"]), trial=row["trial"],
        rep=int(row["rep"]) if row["rep"] else None, position=int(row["position"]) if row["position"] else None,
        is_block=not row["trial"], area=row["area"], area_unit=row["area_unit"], sown_on=row["sown"],
        sown_from_note=row["sown_from"], generation=int(row["generation"]) if row["generation"] else None,
        at=row["sown"],
    )  # fmt: skip


def weight_of(row: Row) -> PlotWeight:
    """What a plot weighed in the field, or a block was expected to give, the day before it came in."""
    at = datetime.combine(weighed_on(row["plot"]), time(8), ZONE)
    return PlotWeight(plot=row["plot"], mass=row["field_kg"], is_estimate=row["field_is"] == "estimate", at=at)
