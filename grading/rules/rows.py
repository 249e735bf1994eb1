"""Which rows of a table a portion meets, and which better rows it misses by what."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from grading.rules.rounding import is_over, is_under
from grading.rules.rule_set import Grade, RuleSet


@dataclass(frozen=True, slots=True)
class Shortfall:
    """One limit or word of a row that a portion does not meet."""

    thing: str
    words: str
    limit: str


def shortfalls(
    rule_set: RuleSet, grade: Grade, shares: Mapping[str, Fraction], judged: Mapping[str, str]
) -> tuple[Shortfall, ...]:
    """List what keeps a portion out of one row; nothing, if it qualifies.

    Args:
        rule_set: names and words.
        grade: the row.
        shares: factor -> exact share [1]; what was not read keeps nothing out.
        judged: judged thing -> word; what was not judged keeps nothing out.
    """
    weighed = tuple(
        Shortfall(factor, rule_set.factors[factor].words, limit)
        for factor, limit in grade.limits.items()
        if factor in shares and misses(rule_set, factor, shares[factor], limit)
    )
    seen = tuple(
        Shortfall(thing, rule_set.judged[thing].words, wanted)
        for thing, wanted in grade.needs.items()
        if thing in judged and not rule_set.judged[thing].meets(judged[thing], wanted)
    )
    return weighed + seen


def misses(rule_set: RuleSet, factor: str, share: Fraction, limit: str) -> bool:
    """Say whether a share is over the most, or under the least, that a limit allows."""
    side = is_under if rule_set.factors[factor].is_least else is_over
    return side(*share.as_integer_ratio(), limit, rounds=rule_set.rounds)


def nearest_shortfalls(
    better: Sequence[str], short: Mapping[str, tuple[Shortfall, ...]]
) -> dict[str, tuple[Shortfall, str]]:
    """Find what would have to be mended to reach a better grade.

    Grades are not a ladder: a portion may miss one better row by its colour and another by its stones. A row counts
    as near if no other better row is missed by fewer of the same things.

    Args:
        better: rows that win over the portion's own, the best first.
        short: row -> what it is missed by.

    Returns:
        Thing -> its shortfall in the nearest row that it bars, and that row.
    """
    missed = {name: frozenset(shortfall.thing for shortfall in short[name]) for name in better}
    found: dict[str, tuple[Shortfall, str]] = {}
    for name in reversed(better):
        if not any(other < missed[name] for other in missed.values()):
            for shortfall in short[name]:
                found.setdefault(shortfall.thing, (shortfall, name))
    return found
