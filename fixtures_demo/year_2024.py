"""The first year: plots, intake and its tare correction, drying, the line, the bench, bags, cans and the strip test."""

from datetime import date

from fixtures_demo.demo import NOW, Demo
from fixtures_demo.measures import measure
from fixtures_demo.practice import weight_of
from fixtures_demo.season import CANNED_ON, DRIED_ON, HELD_ON, SHIPPED_ON, TARE_CORRECTED_ON, day, trial_lots
from fixtures_demo.tables import Row, table
from grading.actions.grading import SampledAndWorked, sample_and_grade
from grading.actions.portions import Worked
from grading.actions.sampling import Sampled
from inventory.actions.bagging import Bagging, bag_off
from inventory.actions.correcting import correct_deliveries
from inventory.actions.drying import Drying, dry
from inventory.actions.holding import hold
from inventory.actions.plots import weigh_plots
from inventory.actions.receiving import Delivery
from inventory.actions.sampling import Drawing
from inventory.actions.shipping import Item, Shipping, ship
from inventory.actions.testing import take_for_tests
from inventory.models import Lot, Operation
from inventory.rules.mistakes import Refused


def build(demo: Demo) -> None:
    """Build it, in the order in which the books were written."""
    demo.load("plots_2024", "plots")
    weigh(demo, "2024")
    demo.load("intake_2024", "intake")
    _correct_the_tare(demo)
    _dry(demo)
    measure(demo, 2024)
    demo.load("runs_2024", "runs")
    _type_a_dish_wrong(demo)
    demo.load("samples_2024", "samples")
    demo.load("germination_2024", "germination")
    _hold(demo)
    for bagging in table("bagging"):
        if bagging["date"].startswith("2024"):
            bag(demo, bagging)
    _can(demo)
    _ship_to_the_strip_test(demo)


def weigh(demo: Demo, season: str) -> None:
    """Enter what plots weighed in the field and blocks were expected to give."""
    rows = [row for row in table("plots") if row["season"] == season]
    weigh_plots([weight_of(row) for row in rows], station=demo.station, by=demo.person("breeder"), now=NOW)


def making_of(demo: Demo, lot: str) -> Operation:
    """The act that made a lot and stands."""
    made_by = Lot.objects.get(station=demo.station, number=lot).standing.made_by
    if made_by is None:
        raise LookupError(f"{lot} is not made.")
    return made_by


def _correct_the_tare(demo: Demo) -> None:
    """24-0004-4 stood in a plastic box, not in a steel bin."""
    at = demo.at("correction", TARE_CORRECTED_ON, "24-0004-4")
    anew = Delivery(
        plots=("QM24-I4",), line="QB-2108", gross="602.0", tare="28.5", moisture="16.0", place="F-1", at=at
    )  # fmt: skip
    correct_deliveries(
        [(making_of(demo, "24-0004-4"), anew)], station=demo.station, by=demo.person("intake"), at=at, now=NOW,
        reason="It stood in a plastic box (28.5 kg), not in a steel bin (42.0 kg).",
    )  # fmt: skip


def _dry(demo: Demo) -> None:
    at = demo.at("drying", DRIED_ON, "D1")
    drying = Drying(lot="24-0005-3", before="17.4", after="15.2", weighed="876.4", at=at)
    dry(drying, station=demo.station, by=demo.person("line"), now=NOW)


def _type_a_dish_wrong(demo: Demo) -> None:
    """bench-1 types 24.0 g of splits for 2.4: the pan does not close, and nothing is saved."""
    row = next(row for row in table("samples") if row["sample"] == "G03")
    dishes = {dish: row[f"{dish}_g"] for dish in ("damaged", "other_foreign_material", "stones")}
    slip = SampledAndWorked(
        sample=Sampled(number="G03", lot=row["lot"], mass=row["drawn_kg"], at=demo.at("sample", _day(row), "G03")),
        portion=Worked(
            portion=row["portion_g"], weights={"splits": "24.0", **dishes}, sound=row["sound_g"],
            seed_weight=row["seed_weight_g"],
        ),
    )  # fmt: skip
    try:
        sample_and_grade(slip, station=demo.station, by=demo.person("bench-1"), now=NOW)
    except Refused as refused:
        demo.refused += [(mistake.says, f"put right: splits {row['splits_g']} g") for mistake in refused.mistakes]


def _hold(demo: Demo) -> None:
    at = demo.at("hold", HELD_ON, "24-0023-0")
    hold(
        ["24-0023-0"], station=demo.station, by=demo.person("breeder"), at=at, now=NOW, reason="germination 79 %"
    )  # fmt: skip


def bag(demo: Demo, row: Row) -> None:
    """Bag off a lot; the third bagging is first typed with a bag too many, as it happened."""
    at = demo.at("bagging", _day(row), row["bagging"])
    if row["bagging"] == "K3":
        _one_bag_too_many(demo, row)
    bagging = Bagging(lot=row["lot"], count=int(row["bags"]), part_bag=row["part_bag"], spilled=row["spilled"], at=at)
    bag_off(bagging, station=demo.station, by=demo.person("intake"), now=NOW)


def _one_bag_too_many(demo: Demo, row: Row) -> None:
    slip = Bagging(lot=row["lot"], count=int(row["bags"]) + 1, at=demo.at("bagging", _day(row), row["bagging"]))
    try:
        bag_off(slip, station=demo.station, by=demo.person("intake"), now=NOW)
    except Refused as refused:
        put_right = f"put right: {row['bags']} bags and a part bag of {row['part_bag']}"
        demo.refused += [(mistake.says, put_right) for mistake in refused.mistakes]


def _can(demo: Demo) -> None:
    drawn = [
        Drawing(lot=row["lot"], mass="0.25", purpose="canning", at=demo.at("canning", CANNED_ON, row["lot"]))
        for row in trial_lots(2024)
    ]
    take_for_tests(drawn, station=demo.station, by=demo.person("breeder"), now=NOW)


def _ship_to_the_strip_test(demo: Demo) -> None:
    at = demo.at("shipping", SHIPPED_ON["S0"], "S0")
    shipping = Shipping(
        code="S0", recipient="Hestermere strip test", purpose="trial", items=(Item(lot="24-0016-5", bags="1-6"),), at=at
    )
    ship(shipping, station=demo.station, by=demo.person("intake"), now=NOW)


def _day(row: Row) -> date:
    return day(row["date"])
