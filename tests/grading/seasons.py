"""What was measured of the demo's trial lots, as the tables have it, without the rest of the books."""

from collections.abc import Mapping
from datetime import date
from fractions import Fraction

from grading.queries.lot_measures import SEED_WEIGHT, Kind, Measure, MeasuredLot, colour_kind
from tests.grading.station import table

DAYS = {"2024": date(2024, 10, 4), "2025": date(2025, 10, 9)}
SEEN = colour_kind("CIELAB", "D65", "2")
TAGS = {"25-0005-6": "QN-2104", "25-0007-0": "QN-2117"}  # the lines on the swapped tags


def measure(kind: Kind, on: date, *values: object) -> Measure:
    """One measurement, from numbers as they are written."""
    return Measure.of(kind, on, [Fraction(str(value)) for value in values])


def trial_lots(tags: Mapping[str, str]) -> list[MeasuredLot]:
    """The sixteen trial lots with seed weight and colour; `tags` says which stand under another line."""
    lines = {row["line"]: row for row in table("lines")}
    trials = {row["lot"] for row in table("intake") if "-T" in row["plots"]}
    return [
        _lot(row["lot"], lines[row["line"]], tags.get(row["lot"], row["line"]))
        for row in table("lots", "answers")
        if row["lot"] in trials
    ]


def _lot(number: str, true: Mapping[str, str], tag: str) -> MeasuredLot:
    year = f"20{number[:2]}"
    on = DAYS[year]
    measures = {
        SEED_WEIGHT: measure(SEED_WEIGHT, on, true[f"seed_weight_{year}"]),
        SEEN: measure(SEEN, on, *(true[f"{axis}_{year}"] for axis in "Lab")),
    }
    return MeasuredLot(number, tag, true["class"], measures)
