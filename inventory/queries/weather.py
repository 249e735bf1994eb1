"""Daily temperatures and stages of plots that stand in the books."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from inventory.models import Plot, PlotStage, Site, WeatherDay
from inventory.queries.uses import in_parts
from inventory.rules.heat import in_celsius


@dataclass(frozen=True)
class Temperatures:
    """One day [°C]."""

    low: Decimal
    high: Decimal


def days_standing(site: Site) -> dict[date, str]:
    """Give the days of a site that stand, each in words (1 query)."""
    rows = WeatherDay.objects.filter(site=site, operation__reversed_by__isnull=True)
    return {row.day: f"{row.low} to {row.high} °{row.unit}" for row in rows}


def weather_of(site_id: int) -> dict[date, Temperatures]:
    """Give all days of a site in degrees Celsius (1 query)."""
    rows = WeatherDay.objects.filter(site_id=site_id, operation__reversed_by__isnull=True)
    return {
        day: Temperatures(in_celsius(Decimal(low), unit), in_celsius(Decimal(high), unit))
        for day, low, high, unit in rows.order_by("day").values_list("day", "low", "high", "unit")
    }


def stage_days(plots: Iterable[Plot], stage: str) -> dict[int, date]:
    """Give the day of a stage of each plot that has one, by the newest note that stands (1 query for 500)."""
    found: dict[int, date] = {}
    for some in in_parts(sorted(plot.pk for plot in plots)):
        rows = PlotStage.objects.filter(plot__in=some, stage=stage, operation__reversed_by__isnull=True)
        found.update(dict(rows.order_by("operation__seq").values_list("plot_id", "day")))
    return found
