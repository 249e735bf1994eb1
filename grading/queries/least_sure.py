"""The chance that predicted seed holds a grade: that of the limit which is least sure."""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from grading.rules.rule_set import Grade, RuleSet
from grading.stats.beta import chance_within


@dataclass(frozen=True, slots=True)
class Chance:
    """How sure the least sure limit is.

    Attributes:
        p: chance that the seed's own share is within the limit [1].
        factor, words: whose limit.
    """

    p: float
    factor: str
    words: str


def least_sure(
    rule_set: RuleSet, grade: Grade, shares: Mapping[str, Fraction], beans: Mapping[str, Fraction]
) -> Chance | None:
    """Find the limit of a grade that is least surely held; None where none has a chance.

    Args:
        rule_set: says which factors have a chance.
        grade: its limits, each taken exactly as written.
        shares: factor -> exact share found [1].
        beans: factor -> pieces that were looked at, not rounded.
    """
    found = []
    for name, limit in grade.figures.items():
        factor, n = rule_set.factors[name], beans.get(name)
        if factor.has_chance and n and name in shares:
            p = chance_within(float(n * shares[name]), float(n), float(Fraction(limit) / 100))
            found.append(Chance(p, name, factor.words))
    return min(found, key=lambda each: each.p, default=None)
