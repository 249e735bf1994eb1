"""Grading portions: our exact outcome beside a bare loop of Decimal sums, quotients, roundings and comparisons."""

from collections.abc import Mapping
from decimal import ROUND_HALF_UP, Decimal
from random import Random
from typing import TYPE_CHECKING, Any

from benchmarks.result import Result
from benchmarks.timing import interleaved

if TYPE_CHECKING:
    from collections.abc import Iterator

    from grading.rules.portion import Portion
    from grading.rules.rule_set import RuleSet

PORTIONS = 2_000
DISHES = (
    *("splits", "damaged", "stones", "other_foreign_material"),
    *("contrasting_classes", "classes_that_blend"),
)
COLOURS = ("good_natural", "reasonably_good", "fairly_good", "off")
_STEPS = {decimals: Decimal(1).scaleb(-decimals) for decimals in range(4)}


def run() -> "Iterator[Result]":
    """Compare in one run (goal: at most four times the bare loop); both go from dishes to the row that is met."""
    # Django must be set up before the shipped tables are found; the frame does so before it calls us.
    from grading.queries.shipped import shipped_rule_set  # noqa: PLC0415
    from grading.rules.outcome import outcome  # noqa: PLC0415

    rule_set = shipped_rule_set("CA-BEANS")
    portions = some_portions(PORTIONS)
    sheet = Sheet(rule_set, "Pinto")
    rows = [
        {"portion_g": each.portion_g, "weights_g": each.weights_g, "colour": each.judged["colour"]} for each in portions
    ]

    def ours() -> list[str | None]:
        return [outcome(rule_set, portion).named.row for portion in portions]

    def reference() -> list[str | None]:
        return [sheet.grade(row) for row in rows]

    if ours() != reference():
        raise AssertionError("The two ways must give the same grades, else their times say nothing.")
    yield Result("grading", *(time * 1000 / PORTIONS for time in interleaved(ours, reference)), unit="µs a portion")


def some_portions(many: int) -> "list[Portion]":
    """Give portions of all grades, the same each time."""
    from grading.rules.portion import Portion  # noqa: PLC0415

    chance = Random(24)
    return [
        Portion(
            class_name="Pinto",
            portion_g=Decimal(chance.randint(4950, 5050)) / 10,
            weights_g={dish: Decimal(chance.choice((0, 1, 3, 20, 60))) / 10 for dish in DISHES},
            judged={"colour": chance.choice(COLOURS), "uniform_size": "yes"},
        )
        for _ in range(many)
    ]


class Sheet:
    """The bare way: dicts of Decimals; a sum, a quotient and a rounding a factor, and every limit of every row."""

    def __init__(self, rule_set: "RuleSet", class_name: str) -> None:
        _name, table = rule_set.table_by_class[class_name.casefold()]
        self.sums = {name: rule_set.factors[name].dishes for name in table.grades[0].limits}
        self.rows = [
            (
                row.name,
                [(name, Decimal(limit), _STEPS[len(limit.partition(".")[2])]) for name, limit in row.limits.items()],
                COLOURS.index(row.needs["colour"]),
            )
            for row in table.grades
        ]

    def grade(self, row: Mapping[str, Any]) -> str | None:
        """Give the first row that is met; None if none is."""
        weights, portion, colour = row["weights_g"], row["portion_g"], COLOURS.index(row["colour"])
        percents = {name: sum([weights[dish] for dish in dishes]) / portion * 100 for name, dishes in self.sums.items()}
        met = [
            name
            for name, limits, worst in self.rows
            if colour <= worst
            and all(percents[factor].quantize(step, ROUND_HALF_UP) <= limit for factor, limit, step in limits)
        ]
        return met[0] if met else None
