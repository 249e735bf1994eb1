"""Lots whose 100-seed weight is far from their line's past, and pairs that look like each other's line."""

from fractions import Fraction

from grading.models import SeedWeight
from grading.queries.finding import day_of
from grading.rules.looks import Look, Weighed, strange_looks, swapped_pairs
from inventory.models import Station


def looks_of(station: Station) -> list[Look]:
    """List lots that do not look like the line they stand under, by lot number (1 query)."""
    rows = SeedWeight.objects.filter(
        station=station, operation__reversed_by__isnull=True, lot__standing__line__isnull=False
    ).select_related("operation", "lot__standing__line__market_class")
    newest = {row.lot_id: row for row in rows.order_by("operation__at", "operation__seq")}
    weighed = [_weighed(row, station) for row in newest.values()]
    return sorted(strange_looks(weighed), key=lambda look: look.weighed.lot)


def look_lines(station: Station) -> list[str]:
    """Say what looks strange in sentences; two lots that look like each other's line are said together."""
    looks = looks_of(station)
    pairs = [
        f"{first.weighed.lot} and {second.weighed.lot} look like each other's line."
        for first, second in swapped_pairs(looks)
    ]
    return [*(look.says for look in looks), *pairs]


def _weighed(row: SeedWeight, station: Station) -> Weighed:
    line = row.lot.standing.line
    if line is None:
        raise AssertionError("lots without a line were left out")
    grams = [Fraction(reading) for reading in row.readings_g]
    class_name = line.market_class.name if line.market_class else ""
    mean = sum(grams, Fraction(0)) / len(grams)
    return Weighed(row.lot.number, line.name, class_name, day_of(row.operation, station), mean)
