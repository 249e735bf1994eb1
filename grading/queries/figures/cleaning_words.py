"""The typed words of a cleaning by screens: read, with everything that stands in the way at its field."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from typing import Any

from grading.queries.figures.grading_words import class_of, grade_of, rule_set_of
from grading.rules.cleaning import LEAST_KEPT, OnScreen, sum_mistakes
from grading.rules.fit import name_mistakes, weight_mistakes
from grading.rules.mistakes import OutOfRange, TooMuch
from grading.rules.portion import Portion
from grading.rules.rule_set import Grade, RuleSet, Table, folded_class
from grading.rules.screens import Screen, order_mistakes, read_screen
from inventory.models import Station
from inventory.rules.gathering import Gathering
from inventory.rules.mistakes import Mistake

MOST_FRACTIONS = 30  # a stack is one to ten screens high; a longer list is a slip
MOST_G = 1_000_000


@dataclass(frozen=True, kw_only=True)
class FractionAsked:
    """What stayed on one screen: all of it, how much was picked through (all, if not said), and what was found."""

    screen: str
    grams: Any
    picked_g: Any = None
    weights_g: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class CleaningAsked:
    """The fractions from the top screen down to the pan, and the grade that is wanted, if one is."""

    market_class: str
    rule_set: str
    fractions: Sequence[FractionAsked]
    sieved_g: Any = None
    grade: str = ""
    seed_weight_g_per_100: Any = None
    least_kept_pct: Any = "90"
    least_chance_pct: Any = None


@dataclass(frozen=True)
class ReadCleaning:
    """The words as understood; without a seed weight nothing is said of chances."""

    rule_set: RuleSet
    class_name: str
    grade: Grade | None
    fractions: list[OnScreen]
    seed_weight_g: Decimal | None
    least_kept: Fraction
    least_chance: float

    @property
    def table(self) -> Table:
        """The grades of the class."""
        return self.rule_set.table_by_class[folded_class(self.class_name)][1]


def read_cleaning(asked: CleaningAsked, station: Station | None = None) -> ReadCleaning:
    """Read the typed words, under the station's own rule sets where there is one.

    Raises:
        Refused: what cannot be read, what the rule set does not know, fractions that do not add up or out of order.
    """
    words = Gathering()
    rule_set = words.attempt(lambda: rule_set_of(asked.rule_set, station))
    class_name = words.attempt(lambda: class_of(rule_set, asked.market_class)) if rule_set else None
    grade = words.attempt(lambda: grade_of(rule_set, class_name, asked.grade)) if rule_set and class_name else None
    fractions = _fractions(words, asked, rule_set, class_name)
    sieved = words.number(asked.sieved_g, "sieved_g", unit="g", least="0.001", most=MOST_G, needed=False)
    if len(fractions) == len(asked.fractions):
        words.add(*sum_mistakes(fractions, sieved))
    kept = words.number(asked.least_kept_pct, "least_kept_pct", unit="%", least=0, most=100)
    chance = words.number(asked.least_chance_pct, "least_chance_pct", unit="%", least=0, most=99, needed=False)
    seed = words.number(
        asked.seed_weight_g_per_100, "seed_weight_g_per_100", unit="g", least="0.1", most=1000, needed=False
    )
    if chance and seed is None:
        says = "A chance needs the weight of 100 seeds. Give seed_weight_g_per_100, or leave least_chance_pct out."
        words.add(OutOfRange(says, field="seed_weight_g_per_100"))
    words.finish()
    if rule_set is None or class_name is None:
        raise AssertionError("finish() lets nothing unread through")
    least = LEAST_KEPT if kept is None else Fraction(kept) / 100
    return ReadCleaning(rule_set, class_name, grade, fractions, seed, least, float(chance or 0) / 100)


def _fractions(
    words: Gathering, asked: CleaningAsked, rule_set: RuleSet | None, class_name: str | None
) -> list[OnScreen]:
    if not 2 <= len(asked.fractions) <= MOST_FRACTIONS:
        says = f"There are {len(asked.fractions)} fractions. Give from 2 to {MOST_FRACTIONS}: each screen and the pan."
        words.add(OutOfRange(says, field="fractions"))
        return []
    screens = [
        words.attempt(lambda one=one, place=place: read_screen(one.screen, f"fractions.{place}.screen"))  # type: ignore[misc]
        for place, one in enumerate(asked.fractions, 1)
    ]
    known = [screen for screen in screens if screen is not None]
    if len(known) == len(screens):
        words.add(*order_mistakes(known, "fractions"))
    read = [
        _fraction(words, one, screen, f"fractions.{place}", (rule_set, class_name))
        for place, (one, screen) in enumerate(zip(asked.fractions, screens, strict=True), 1)
    ]
    return [one for one in read if one is not None]


def _fraction(
    words: Gathering,
    asked: FractionAsked,
    screen: Screen | None,
    where: str,
    under: tuple[RuleSet | None, str | None],
) -> OnScreen | None:
    grams = words.number(asked.grams, f"{where}.grams", unit="g", least=0, most=MOST_G)
    picked = words.number(asked.picked_g, f"{where}.picked_g", unit="g", least=0, most=MOST_G, needed=False)
    found = {
        dish: words.number(typed, f"{where}.weights_g.{dish}", unit="g", least=0, most=MOST_G)
        for dish, typed in asked.weights_g.items()
    }
    weights = {dish: weight for dish, weight in found.items() if weight is not None}
    if grams is None or screen is None or len(weights) < len(found):
        return None
    one = OnScreen(screen, grams, grams if picked is None else picked, weights)
    wrong = _fraction_mistakes(one, where, *under)
    words.add(*wrong)
    return None if wrong else one


def _fraction_mistakes(
    one: OnScreen, where: str, rule_set: RuleSet | None, class_name: str | None
) -> list[Mistake]:  # fmt: skip
    if one.picked_g > one.grams:
        return [TooMuch(f"{where}.picked_g", one.picked_g, f"{one.grams}", "g that stayed on the screen")]
    if rule_set is None or class_name is None or not (one.grams or one.weights_g):
        return []
    nothing_off = Decimal(0)
    picked = Portion(
        class_name, one.picked_g, one.weights_g, gross_g=one.picked_g, dockage_g=nothing_off
    )  # fmt: skip
    wrong = list(name_mistakes(rule_set, picked)) or list(weight_mistakes(rule_set, picked))
    for mistake in wrong:
        field_ = "picked_g" if mistake.field == "portion_g" else mistake.field
        mistake.field = f"{where}.{field_}"
    return wrong
