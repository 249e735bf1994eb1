"""Which plots of a season have not come in: the map of its trials, and the last ones missing."""

from collections.abc import Iterable, Sequence

from inventory.drawing.plotmap import Harvest, MapPlot
from inventory.models import Link, Plot, Station
from inventory.queries.deliveries import field_weights
from inventory.queries.uses import in_parts
from inventory.rules.nodes import NodeKind, key_of, kind_of, node


def seasons_of(station: Station) -> list[int]:
    """List the seasons that have plots, the newest first (1 query)."""
    rows = Plot.objects.filter(station=station, taken_back=False).order_by("-season")
    return list(rows.values_list("season", flat=True).distinct())


def plots_by_harvest(station: Station, season: int) -> list[MapPlot]:
    """Say of each plot of a season whether its seed is in, only weighed in the field, or still out (3 queries)."""
    plots = list(Plot.objects.filter(station=station, season=season, taken_back=False).order_by("code"))
    came = _delivered([plot.pk for plot in plots])
    weighed = {key for key, weight in field_weights(plots).items() if not weight.is_estimate}
    return [_on_map(plot, came, weighed) for plot in plots]


def _on_map(plot: Plot, came: set[int], weighed: set[int]) -> MapPlot:
    harvest = Harvest.IN if plot.pk in came else Harvest.WEIGHED if plot.pk in weighed else Harvest.OUT
    return MapPlot(plot.code, "" if plot.is_block else plot.trial, plot.rep or 0, plot.position or 0, harvest)


def _delivered(plot_ids: Sequence[int]) -> set[int]:
    found: set[int] = set()
    for some in in_parts([node(NodeKind.PLOT, key) for key in plot_ids]):
        links = Link.objects.filter(parent__in=some, is_sowing=False)
        found |= {key_of(parent) for parent, child in links.values_list("parent", "child") if _is_lot(child)}
    return found


def _is_lot(child: int) -> bool:
    return kind_of(child) is NodeKind.LOT


def missing(plots: Iterable[MapPlot]) -> list[MapPlot]:
    """Keep the plots whose seed is not in the store."""
    return [plot for plot in plots if plot.harvest is not Harvest.IN]
