"""Seed weight, colour and size of a year's eight trial lots, measured on the seed that is in the bag."""

from decimal import Decimal

from fixtures_demo.demo import NOW, Demo
from fixtures_demo.season import MEASURED_ON, trial_lots
from fixtures_demo.tables import Row, table
from grading.actions.measuring import (
    Coloured,
    HundredSeeds,
    Screened,
    measure_colours,
    measure_seed_weights,
    measure_sizes,
)  # fmt: skip

SPREAD = {"pinto": ("-0.4", "-0.2", "0.2", "0.4")}
USUAL_SPREAD = ("-0.2", "-0.1", "0.1", "0.2")


def measure(demo: Demo, year: int) -> None:
    """Enter the measurements, each lot's by its own act, in the order of the day."""
    station, by, on = demo.station, demo.person("bench-2"), MEASURED_ON[year]
    curves = [row for row in table("sizes") if row["lot"].startswith(str(year)[2:])]
    sizes = [_size(row, demo.at("size", on, row["lot"])) for row in curves]
    measure_sizes(sizes, station=station, by=by, now=NOW)
    lots = [row["lot"] for row in trial_lots(year)]
    weights = [_weight(lot, year, demo.at("seed weight", on, lot)) for lot in lots]
    measure_seed_weights(weights, station=station, by=by, now=NOW)
    colours = [_colour(lot, year, demo.at("colour", on, lot)) for lot in lots]
    measure_colours(colours, station=station, by=by, now=NOW)


def _true_line(lot: str) -> Row:
    """The line whose seed is in the bag, whatever its tag says."""
    name = next(row["line"] for row in table("lots", "answers") if row["lot"] == lot)
    return next(row for row in table("lines") if row["line"] == name)


def _weight(lot: str, year: int, at: object) -> HundredSeeds:
    line = _true_line(lot)
    value = Decimal(line[f"seed_weight_{year}"])
    off = SPREAD.get(line["class"], USUAL_SPREAD)
    return HundredSeeds(lot=lot, readings=[str(value + Decimal(step)) for step in off], at=at)


def _colour(lot: str, year: int, at: object) -> Coloured:
    line = _true_line(lot)
    lightness, a, b = (line[f"{axis}_{year}"] for axis in "Lab")
    return Coloured(lot=lot, lightness=lightness, a=a, b=b, illuminant="D65", observer="2", at=at)


def _size(row: Row, at: object) -> Screened:
    screens = [(screen, row[screen]) for screen in row if screen != "lot"]
    return Screened(lot=row["lot"], screens=screens, shape="slotted", at=at)
