"""How seed that lies nowhere yet would read: a kept fraction or a mix, from the exact share of each factor."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import lcm

from grading.rules.gauges import GivenShares, ready_for
from grading.rules.losing import shortfalls_of
from grading.rules.outcome import judge
from grading.rules.pan import NOTHING, Pan
from grading.rules.portion import Portion
from grading.rules.readings import read_to
from grading.rules.rounding import read_as
from grading.rules.rows import nearest_shortfalls, shortfalls
from grading.rules.rule_set import Grade, RuleSet, Table

ADVICE = (
    "Advice, not a grade: a prediction from what was picked. The rule reads a sample of the seed itself; draw one "
    "when it lies there."
)


@dataclass(frozen=True, slots=True)
class Predicted:
    """The grade that seed of these shares would read as.

    Attributes:
        grade: the name that would win.
        qualifies_for: every row whose limits and words it would meet.
        is_row: the name is a row of the table, and nothing stands instead of it.
        reads_pct: factor -> per cent, rounded once as its limit is written.
        held_back: "total defects 2.34, limit 2.00" for each limit in the way of a better grade.
        shares: factor -> exact share [1].
    """

    grade: str
    qualifies_for: tuple[str, ...]
    is_row: bool
    reads_pct: Mapping[str, Decimal]
    held_back: tuple[str, ...]
    shares: Mapping[str, Fraction]

    def holds(self, grade: str) -> bool:
        """Say whether it would meet a row of its table."""
        return grade in self.qualifies_for and self.is_row


def predict(
    rule_set: RuleSet, class_name: str, shares: Mapping[str, Fraction], judged: Mapping[str, str] | None = None
) -> Predicted:
    """Read shares under a rule set, by the same rows and the same rounding as a portion on the bench.

    Args:
        rule_set: one edition.
        class_name: a class it knows.
        shares: every factor of the rule set -> exact share [1].
        judged: judged thing -> word; what is not named holds nothing back.

    Raises:
        KeyError: it does not know the class.
    """
    typed = ready_for(rule_set, class_name)
    if typed is None:
        raise KeyError(class_name)
    portion = Portion(typed.class_name, Decimal(100), {}, judged=dict(judged or {}))
    ready, lost, named = judge(typed, GivenShares(shares), portion)
    reads = {name: read_as(share * 100, read_to(ready, name, named.row)) for name, share in shares.items()}
    near = nearest_shortfalls(named.better, shortfalls_of(ready, lost)).values()
    return Predicted(
        grade=named.grade,
        qualifies_for=named.qualifies_for,
        is_row=named.row is not None,
        reads_pct=reads,
        held_back=tuple(_held_back(each.words, each.thing, each.limit, shares) for each, _row in near),
        shares=shares,
    )


def shares_of(
    rule_set: RuleSet, class_name: str, grams: Fraction, found: Mapping[str, Fraction]
) -> dict[str, Fraction]:
    """Give the exact share of every factor that is weighed, of seed in which this was found.

    Totals count parts of dishes and leave out what the class may hold beside them, as on the bench. What is read by
    count or by an instrument is left out: no weight says it.

    Args:
        rule_set, class_name: known to each other.
        grams: all of the seed, over 0 [g].
        found: dish, by its own name -> weight [g].
    """
    ready = ready_for(rule_set, class_name)
    if ready is None:
        raise KeyError(class_name)
    unit = lcm(grams.denominator, *(each.denominator for each in found.values()))
    weights = tuple(int(found.get(dish, Fraction(0)) * unit) for dish in ready.dishes)
    whole = int(grams * unit)
    pan = Pan(weights, whole, whole, counts=(0,) * len(weights), pieces=0, read_off=NOTHING, overlaps=())
    ratios = {name: pan.share(gauge) for name, gauge in ready.gauges.items()}
    return {name: Fraction(top, bottom) for name, (top, bottom) in ratios.items() if bottom}


def over(rule_set: RuleSet, grade: Grade, shares: Mapping[str, Fraction]) -> tuple[str, ...]:
    """Word each limit of a grade that shares read over: "total defects 2.34, limit 2.00"."""
    found = shortfalls(rule_set, grade, shares, {})
    return tuple(_held_back(each.words, each.thing, each.limit, shares) for each in found)


def grade_named(table: Table, typed: str) -> Grade | None:
    """Find a row of a table by its name, typed in any case; "no 1" is "No. 1"."""
    wanted = _folded(typed)
    return next((grade for grade in table.grades if _folded(grade.name) == wanted), None)


def _folded(name: str) -> str:
    return " ".join(name.casefold().replace(".", " ").replace("_", " ").split())


def _held_back(words: str, thing: str, limit: str, shares: Mapping[str, Fraction]) -> str:
    return f"{words} {read_as(shares[thing] * 100, limit)}, limit {limit}" if thing in shares else words
