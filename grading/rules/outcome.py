"""The grade a portion reads as under one rule set, and what holds it back: exact, and silent about chance.

The grade is worked out at once, in whole numbers; readings, what holds it back, notes and working when asked for.
"""

from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from grading.rules.dockage import Dockage, dockage
from grading.rules.fit import name_mistakes, weight_mistakes
from grading.rules.gauges import Ready, Shares, ready_for
from grading.rules.losing import Lost, rows_lost, shortfalls_of
from grading.rules.mistakes import Missing
from grading.rules.naming import Named, class_change, made_another, name_of, stopped
from grading.rules.notes import notes_of
from grading.rules.pan import Pan, pan_of, plain_pan
from grading.rules.portion import Portion
from grading.rules.readings import Limiting, Reading, limiting_of, readings_of
from grading.rules.rows import Shortfall
from grading.rules.rule_set import RuleSet, Table
from grading.rules.working_of import working_of
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.working import Step

__all__ = ["Limiting", "Outcome", "Reading", "outcome"]


@dataclass(frozen=True)
class Outcome:
    """How a portion reads under one edition of a rule set.

    Attributes:
        ready: the table it was held against.
        pan: the portion in whole numbers.
        lost: factor or judged thing -> the rows that it bars, as bits.
        named: its name, and how that came about.
    """

    ready: Ready
    portion: Portion
    pan: Pan
    lost: Lost
    named: Named

    @property
    def rule_set(self) -> RuleSet:
        """The edition."""
        return self.ready.rule_set

    @property
    def table(self) -> Table:
        """The table of its class."""
        return self.ready.table

    @property
    def class_name(self) -> str:
        """The class, as the rule set writes it; another one than was typed where a factor made it so."""
        change = self.named.change
        return change.makes if change else self.ready.class_name

    @property
    def grade(self) -> str:
        """The name that wins, with any word added for moisture."""
        return self.named.grade

    @property
    def printed(self) -> str:
        """The whole name, with the class where the source adds it."""
        return self.named.printed

    @property
    def qualifies_for(self) -> tuple[str, ...]:
        """Every grade whose limits and words are met, as listed."""
        return self.named.qualifies_for

    @cached_property
    def shares(self) -> dict[str, Fraction]:
        """Factor -> exact share of its basis [1]; what could not be read is left out."""
        ratios = {name: self.pan.share(gauge) for name, gauge in self.ready.gauges.items()}
        return {name: Fraction(top, bottom) for name, (top, bottom) in ratios.items() if bottom}

    @cached_property
    def short(self) -> dict[str, tuple[Shortfall, ...]]:
        """Row -> what keeps the portion out of it."""
        return shortfalls_of(self.ready, self.lost)

    @cached_property
    def readings(self) -> tuple[Reading, ...]:
        """Every factor."""
        return readings_of(self.ready, self.named, self.shares, self.portion)

    @cached_property
    def limiting(self) -> tuple[Limiting, ...]:
        """What keeps it from the nearest better grades."""
        return limiting_of(self.ready, self.named, self.short, self.shares)

    @cached_property
    def dockage(self) -> Dockage | None:
        """Dockage; None if no uncleaned weight was given."""
        gross, off = self.portion.gross_g, self.portion.dockage_g
        return None if gross is None or off is None else dockage(gross, off, self.rule_set.dockage.read_to)

    @cached_property
    def notes(self) -> tuple[str, ...]:
        """What must be said with the grade."""
        return notes_of(self.ready, self.named, self.pan, self.portion)

    @cached_property
    def working(self) -> tuple[Step, ...]:
        """Every step from the dishes to the grade."""
        return working_of(self)


def outcome(rule_set: RuleSet, portion: Portion) -> Outcome:
    """Grade one portion.

    Args:
        rule_set: one edition.
        portion: weights in grams.

    Returns:
        The outcome. Each per cent is exact until it is rounded once, half up, to the decimals of the limit it is held
        against; a total is rounded from its raw sum. A reading equal to its limit is within it.

    Raises:
        Refused: everything in the portion that the rule set does not know or that can't be true.
    """
    ready = ready_for(rule_set, portion.class_name)
    pan = plain_pan(ready, portion) if ready else None
    if ready is None or pan is None:
        ready, pan = _looked_through(rule_set, ready, portion)
    ready, lost, named = judge(ready, pan, portion)
    return Outcome(ready, portion, pan, lost, named)


def judge(ready: Ready, pan: Shares, portion: Portion) -> tuple[Ready, Lost, Named]:
    """Hold shares against the table of their class, or of the class that they turn out to be.

    Args:
        ready: the table of the class as typed.
        pan: the share of each factor.
        portion: its judged words, stops and moisture.

    Returns:
        The table that judged them, what bars which rows of it, and the name.
    """
    if portion.stops:
        return ready, {}, stopped(ready, portion)
    change = class_change(ready, pan) if ready.rule_set.class_changes else None
    if change is not None:
        other = ready_for(ready.rule_set, change.makes)
        if other is None:
            return ready, {}, made_another(change)
        ready = other
    lost = rows_lost(ready, pan, portion)
    return ready, lost, name_of(ready, lost, pan, portion, change)


def _looked_through(rule_set: RuleSet, ready: Ready | None, portion: Portion) -> tuple[Ready, Pan]:
    mistakes: list[Mistake] = list(name_mistakes(rule_set, portion)) or list(weight_mistakes(rule_set, portion))
    if mistakes:
        raise Refused(mistakes)
    if ready is None:
        raise Refused([Missing("class", "Give the market class, such as Pinto.")])
    return ready, pan_of(ready, portion)
