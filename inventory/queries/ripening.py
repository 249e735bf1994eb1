"""Days and heat from sowing to maturity of plots, and the seasons a site has temperatures of."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from inventory.models import Plot, Site, Station
from inventory.queries.weather import stage_days, weather_of
from inventory.rules.field import MATURITY
from inventory.rules.ripening import Heat, heat_between

Days = Mapping[date, tuple[Decimal, Decimal]]


@dataclass(frozen=True)
class Ripened:
    """A plot that was sown and was ripe on known days.

    Attributes:
        line: its name of today.
        days: from sowing to maturity.
        heat: on the way; None where its site has no temperatures of those days.
    """

    plot: Plot
    line: str
    days: int
    heat: Heat | None

    @property
    def site_year(self) -> str:
        """Where and when: "QM 2024"."""
        return f"{self.plot.site.code} {self.plot.season}"


def weather_by_site(station: Station) -> dict[Site, Days]:
    """Give the temperatures of every site that has some [°C] (1 query and 1 a site)."""
    sites = Site.objects.filter(station=station, weather_days__isnull=False).distinct().order_by("code")
    return {
        site: {day: (each.low, each.high) for day, each in days.items()}
        for site in sites
        if (days := weather_of(site.pk))
    }


def ripened_plots(station: Station, weather: Mapping[Site, Days], formula: str, base: Decimal) -> list[Ripened]:
    """List plots with a day of sowing and one of maturity (2 queries and 1 for each 5,000 plots)."""
    plots = list(
        Plot.objects.filter(station=station, taken_back=False, sown_on__isnull=False)
        .select_related("site", "line__merged_into")
        .order_by("season", "site__code", "code")
    )
    ripe = stage_days(plots, MATURITY)
    found = []
    for plot in plots:
        if plot.pk not in ripe or plot.sown_on is None or ripe[plot.pk] < plot.sown_on:
            continue
        days = weather.get(plot.site)
        heat = heat_between(days, plot.sown_on, ripe[plot.pk], formula, base) if days else None
        line = (plot.line.merged_into or plot.line).name
        found.append(Ripened(plot, line, (ripe[plot.pk] - plot.sown_on).days, heat))
    return found
