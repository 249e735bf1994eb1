"""The line under the dishes: portion = dishes + sound + what is missing, exact, as it stands while one picks."""

from dataclasses import dataclass
from decimal import Decimal

from grading.rules.closure import ALLOWED
from grading.rules.fit import cleaned_weights, dish_weights, once_g
from grading.rules.portion import Portion
from grading.rules.rule_set import RuleSet


@dataclass(frozen=True)
class Closing:
    """How a pan stands [g].

    Attributes:
        dishes_g: all dishes that came out of the portion; what lies in two of them counts once.
        missing_g: of the portion; below 0 where there is too much.
    """

    portion_g: Decimal
    dishes_g: Decimal
    sound_g: Decimal
    missing_g: Decimal

    @property
    def missing_plain(self) -> Decimal:
        """What is missing or too much, without its sign [g]."""
        return abs(self.missing_g)

    @property
    def is_closed(self) -> bool:
        """Whether nothing is missing beyond what a bench allows."""
        return abs(self.missing_g) <= self.portion_g * ALLOWED


def closing(rule_set: RuleSet, portion: Portion) -> Closing:
    """Add up a pan; a sound weight that is not typed yet is 0.

    Args:
        portion: names of dishes must be known to the rule set.
    """
    dishes = once_g(cleaned_weights(rule_set, dish_weights(rule_set, portion)), rule_set, portion)
    sound = portion.sound_g or Decimal(0)
    return Closing(portion.portion_g, dishes, sound, portion.portion_g - dishes - sound)
