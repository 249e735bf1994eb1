"""What a grader needs in front of her to work a portion: the tray, the rule set, what is known of the sample."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.contrib.auth.models import User

from grading.models import BenchManner, Portion, Sample
from grading.queries.editions import rules_of
from grading.queries.finding import day_of, standing_portions
from grading.queries.in_force import rule_set_for
from grading.queries.sizes import newest_seed_weight
from grading.rules.closing import Closing, closing
from grading.rules.fit import dish_weights, name_mistakes
from grading.rules.outcome import outcome
from grading.rules.portion_form import read_portion
from grading.rules.rule_set import RuleSet, folded_class
from grading.rules.tray import Dish, tray_of
from grading.stats.more import told_already
from grading.stats.portion_chance import limit_share
from inventory.models import Standing, Station
from inventory.rules.amounts import read_amount
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.rounding import half_up


@dataclass(frozen=True)
class Pan:
    """A sample on the bench.

    Attributes:
        class_name: by which it is graded; "" where nobody said it.
        rule_set: None where none could be chosen; `says` tells why.
        choices: ids of rule sets that grade the class, where one must be named.
        dishes: in the order of the tray.
        worked: portions of it that stand in the books, the newest last.
        seed_weight: of the lot or its line [g], as text; "" where there is none.
    """

    sample: Sample
    class_name: str
    rule_set: RuleSet | None
    says: str
    choices: tuple[str, ...]
    dishes: tuple[Dish, ...]
    worked: tuple[Portion, ...]
    seed_weight: str


@dataclass(frozen=True)
class SoFar:
    """How a pan reads while it is picked; what cannot be read yet is left out.

    Attributes:
        grade: as it would read now; "" where it cannot be said.
        advice: sentences on when to stop picking.
    """

    closing: Closing | None
    grade: str = ""
    advice: tuple[str, ...] = ()


def manner_at_bench(user: User) -> BenchManner:
    """Give how a person lays out the bench; the usual manner where they never chose (1 query)."""
    return BenchManner.objects.filter(user=user).first() or BenchManner(user=user)


def pan_of(station: Station, sample: Sample, manner: BenchManner, class_name: str = "", wanted: str = "") -> Pan:
    """Lay out the pan of a sample (up to 9 queries).

    Args:
        manner: of whoever picks.
        class_name, wanted: class and rule set as typed; "" for the lot's class and what was in force on its day.
    """
    named = class_name.strip() or _class_of(sample)
    known = rules_of(station)
    rule_set, says = None, ""
    try:
        rule_set = (
            rule_set_for(wanted, named, day_of(sample.operation, station), station.code, known) if named else None
        )
    except Mistake as mistake:
        says = mistake.says
    portions = standing_portions(station).filter(sample=sample).order_by("operation__seq")
    weighed = newest_seed_weight(sample.lot_id, or_of_its_line=True)
    return Pan(
        sample, named, rule_set, says, tuple(dict.fromkeys(each.id for each in known if not each.is_for_seed)),
        tray_of(rule_set, manner.order, manner.letters) if rule_set else (), tuple(portions),
        f"{half_up(weighed.grams, 2)}" if weighed else "",
    )  # fmt: skip


def so_far(pan: Pan, document: Mapping[str, Any], *, picked: str = "", advises: bool = False) -> SoFar:
    """Say how a pan reads as it stands, half picked or whole; nothing is refused.

    Args:
        pan: with its rule set.
        document: named values as `read_portion` takes them.
        picked: how much of the portion was looked through, as typed [g]; "" for all of it.
        advises: say when the portion tells already.
    """
    if pan.rule_set is None:
        return SoFar(None)
    portion, wrong = read_portion({**document, "class": pan.class_name})
    if list(name_mistakes(pan.rule_set, portion)) or any(mistake.field == "portion_g" for mistake in wrong):
        return SoFar(None)
    line = closing(pan.rule_set, portion)
    try:
        grade = outcome(pan.rule_set, portion).printed
    except Refused:
        grade = ""
    return SoFar(line, grade, _advice(pan, portion, picked) if advises else ())


def _class_of(sample: Sample) -> str:
    """Name the market class of a sample's lot; "" where it has none (1 query)."""
    name = Standing.objects.filter(lot=sample.lot_id).values_list("market_class__name", flat=True).first()
    return name or ""


def _advice(pan: Pan, portion: Any, picked: str) -> tuple[str, ...]:
    """Say of each total that is limited whether what was picked tells already."""
    rule_set = pan.rule_set
    if rule_set is None or portion.seed_weight_g_per_100 is None:
        return ()
    try:
        looked = read_amount(picked).value if picked.strip() else portion.portion_g
    except Mistake:
        return ()
    if not 0 < looked <= portion.portion_g:
        return ()
    per_gram = 100 / portion.seed_weight_g_per_100
    weights = dish_weights(rule_set, portion)
    _name, table = rule_set.table_by_class[folded_class(pan.class_name)]
    said = []
    for grade in table.grades[:1]:
        for name, limit in grade.figures.items():
            factor = rule_set.factors[name]
            found = sum((weights[dish] for dish in factor.dishes if dish in weights), Decimal(0)) * per_gram
            pieces = looked * per_gram
            if not factor.has_chance or found > pieces:
                continue
            told = told_already(float(found), float(pieces), {grade.name: limit_share(limit)})[grade.name]
            if told == "beyond":
                said.append(f"After {looked} g it is already beyond {grade.name} by {factor.words} (99 in 100).")
    return tuple(said)
