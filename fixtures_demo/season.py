"""What happened in the season beside what the tables say, and the calendar of it all."""

from datetime import date, timedelta
from functools import cache

from fixtures_demo.calendar import Calendar
from fixtures_demo.tables import Row, table

TODAY = date(2026, 3, 31)
BANNER = "Demo: Quillmarsh Station. Nothing here is real."
MEASURED_ON = {2024: date(2024, 10, 4), 2025: date(2025, 10, 9)}
SOWN_ON = date(2025, 5, 20)
DECIDED_ON = date(2025, 12, 15)
CANNED_ON = date(2025, 1, 15)
HELD_ON = date(2024, 11, 25)
TARE_CORRECTED_ON = date(2024, 9, 27)
TAGS_CORRECTED_ON = date(2025, 10, 10)
LATE_TOTE_ON = date(2025, 10, 17)
DRIED_ON = date(2024, 10, 3)
BLENDED_ON = date(2025, 12, 9)
SHIPPED_ON = {"S0": date(2025, 5, 12), "S1": date(2026, 3, 3), "S2": date(2026, 3, 10)}

# Block, lot it was sown from, bags that were opened, kilograms sown.
BLOCKS_SOWN = (
    ("QM25-I1", "24-0017-9", "", "44.0"),
    ("QM25-I2", "24-0019-8", "1, 23", "27.5"),
    ("QM25-I3", "24-0021-7", "1, 25", "38.5"),
    ("QM25-I4", "24-0025-8", "1-2", "45.0"),
)
VERDICTS = {
    "QN-2104": ("advance", "clean, even, the most seed of its class"),
    "QB-2103": ("advance", "keeps its colour in the can"),
    "QP-2202": ("advance", "yield ahead of its sister, good in the can"),
    "QP-2206": ("hold", "behind its sister, to be seen once more"),
    "QN-2109": ("hold", "behind QN-2104, kept for its even size"),
    "QB-2112": ("hold", "too few figures yet"),
    "QB-2108": ("drop", "germination, splits in the can"),
    "QN-2117": ("drop", "yield, appearance 4.2 in the can"),
}


def day(text: str) -> date:
    """Read a table's day."""
    return date.fromisoformat(text)


def trial_lots(year: int) -> list[Row]:
    """The eight lots that came from trial plots in a year, by number."""
    rows = [row for row in table("intake") if row["date"].startswith(str(year)) and "-T" in row["plots"]]
    return sorted(rows, key=lambda row: row["lot"])


def weighed_on(plot: str) -> date:
    """The day a plot was weighed in the field, or a block's yield was estimated: the day before it came in."""
    true_intake = {code: day(row["date"]) for row in table("intake") for code in row["plots"].split()}
    return true_intake[plot] - timedelta(days=1)


@cache
def calendar() -> Calendar:
    """Enter every act of the season."""
    acts = Calendar()
    for plot in table("plots"):
        acts.enter("plot", day(plot["sown"]), plot["plot"])
        acts.enter("field weight", weighed_on(plot["plot"]), plot["plot"])
    for kind, name, number in (
        ("intake", "intake", "lot"), ("run", "runs", "run"), ("sample", "samples", "sample"),
        ("test", "tests", "test"), ("bagging", "bagging", "bagging"),
    ):  # fmt: skip
        for row in table(name):
            acts.enter(kind, day(row["date"]), row[number])
    _enter_measures(acts)
    _enter_the_rest(acts)
    return acts


def _enter_measures(acts: Calendar) -> None:
    for year, measured_on in MEASURED_ON.items():
        for lot in trial_lots(year):
            acts.enter("seed weight", measured_on, lot["lot"])
            acts.enter("colour", measured_on, lot["lot"])
    for row in table("sizes"):
        acts.enter("size", MEASURED_ON[2000 + int(row["lot"][:2])], row["lot"])


def _enter_the_rest(acts: Calendar) -> None:
    acts.enter("correction", TARE_CORRECTED_ON, "24-0004-4")
    acts.enter("correction", TAGS_CORRECTED_ON, "25-0005-6")
    acts.enter("drying", DRIED_ON, "D1")
    acts.enter("late tote", LATE_TOTE_ON, "R14")
    acts.enter("hold", HELD_ON, "24-0023-0")
    acts.enter("blending", BLENDED_ON, "X1")
    for row in trial_lots(2024):
        acts.enter("canning", CANNED_ON, row["lot"])
        acts.enter("sowing", SOWN_ON, row["lot"])
    for _block, lot, _bags, _kg in BLOCKS_SOWN:
        acts.enter("sowing", SOWN_ON, lot)
    for code, shipped_on in SHIPPED_ON.items():
        acts.enter("shipping", shipped_on, code)
    for line in VERDICTS:
        acts.enter("decision", DECIDED_ON, line)
    for lot in ("25-0014-5", "25-0018-4"):
        acts.enter("promise", TODAY, lot)
