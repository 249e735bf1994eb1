"""How many plants to grow so that what is wanted is among them."""

from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from grading.queries.figures.figure import Answer, Figure
from inventory.models import Station
from inventory.rules.backcross import RAREST, SUREST, plants_to_grow
from inventory.rules.gathering import Gathering
from inventory.rules.working import Step


@dataclass(frozen=True, kw_only=True)
class PlantsAsked:
    """The part of the plants that carries what is wanted, and how sure one wants to be."""

    frequency_pct: Any
    chance_pct: Any = "95"


def plants(asked: PlantsAsked, _station: Station | None = None) -> Answer:
    """Answer how many plants to grow.

    Raises:
        Refused: a number that cannot be read or is outside its range.
    """
    words = Gathering()
    part = words.number(
        asked.frequency_pct, "frequency_pct", unit="%", least=float(RAREST * 100), most=100, example="25"
    )  # fmt: skip
    sure = words.number(asked.chance_pct, "chance_pct", unit="%", least=1, most=float(SUREST * 100))
    words.finish()
    if part is None or sure is None:
        raise AssertionError("finish() lets nothing unread through")
    n = plants_to_grow(Fraction(part) / 100, Fraction(sure) / 100)
    step = Step(
        "plants", f"the smallest n with 1 - (1 - {part}/100)^n of {sure}/100 or more = {n}",
        source="binomial: 1 - (1 - p)^n, the chance of at least one",
    )  # fmt: skip
    says = f"Grow {n} plants: with a chance of {sure} % or more at least one carries it."
    return Answer({"plants": n}, (says,), (step,), ("Germination and survival are not taken in: divide by them.",))


FIGURES = (
    Figure(
        "plants to grow", "How many plants hold at least one that carries what is wanted, with a wanted chance.",
        PlantsAsked, plants, {"frequency_pct": "25", "chance_pct": "95"},
    ),
)  # fmt: skip
