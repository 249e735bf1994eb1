"""Read a portion's typed words for the books: weights, words and findings, and the rule set it is graded under."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any

from grading.models import Portion, Sample
from grading.queries.editions import rules_of
from grading.queries.in_force import rule_set_for
from grading.rules import portion as bench
from grading.rules.fit import name_mistakes, weight_mistakes
from grading.rules.portion_form import read_portion
from grading.rules.rule_set import RuleSet
from inventory.actions.desk import Desk, Typed
from inventory.actions.reader import Missing, Reader
from inventory.rules.amounts import read_amount
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import typed_text


@dataclass(frozen=True, kw_only=True)
class Worked:
    """A portion as it was typed from the bench sheet; grams, per cent wet basis, and the words of its rule set.

    `class_name` and `rule_set` may be left out: the lot's class, and what was in force on the sample's day.
    """

    sample: Typed = None
    portion: Typed = None
    weights: Mapping[str, Typed] = field(default_factory=dict)
    counts: Mapping[str, Typed] = field(default_factory=dict)
    overlap: Sequence[Mapping[str, Any]] = ()
    appearance: Mapping[str, Typed] = field(default_factory=dict)
    stops: Sequence[str] = ()
    gross: Typed = None
    dockage: Typed = None
    sound: Typed = None
    moisture: Typed = None
    seed_weight: Typed = None
    class_name: str = ""
    rule_set: str = ""
    grader: str = ""
    at: Typed = None


@dataclass(frozen=True)
class ReadPortion:
    """A portion as it was understood, and what it is graded under."""

    portion: bench.Portion
    rule_set: RuleSet
    grader: str

    def row(self, sample: Sample) -> Portion:
        """Write it as a row of a sample that stands in the books."""
        portion = self.portion
        return Portion(
            station_id=sample.station_id,
            sample=sample,
            grader=self.grader,
            class_name=portion.class_name,
            rule_set=self.rule_set.id,
            edition=self.rule_set.edition,
            portion_g=_text(portion.portion_g),
            weights_g={dish: _text(grams) for dish, grams in portion.weights_g.items()},
            counts=dict(portion.counts),
            overlap_g=[{"factors": list(each.factors), "g": _text(each.grams)} for each in portion.overlaps],
            appearance=dict(portion.judged),
            stops=list(portion.stops),
            gross_g=_text(portion.gross_g),
            dockage_g=_text(portion.dockage_g),
            sound_g=_text(portion.sound_g),
            moisture_pct=_text(portion.moisture_pct),
            seed_weight_g_per_100=_text(portion.seed_weight_g_per_100),
        )


def read_worked(reader: Reader, worked: Worked, *, lot_class: str, on: date, by_name: str) -> ReadPortion | None:
    """Read a portion; what is wrong with it is gathered, with the question of a pan that does not close.

    Args:
        lot_class: market class of its lot; "" where it has none.
        on: the day of its sample.
        by_name: who writes it down, and picked it where no grader is named.
    """
    reader.note_typed(**{name: _noted(value) for name, value in vars(worked).items() if name != "at"})
    class_name = worked.class_name.strip() or lot_class
    document = document_of(worked, class_name or "?")
    portion, wrong = read_portion(document)
    reader.add(*wrong)
    if not class_name:
        reader.add(Missing("class_name", "pinto"))
        return None
    station, known = reader.desk.station, reader.desk.beside(_rules)
    rule_set = reader.attempt(lambda: rule_set_for(worked.rule_set, class_name, on, station.code, known))
    if rule_set is None:
        return None
    reader.add(*_misfits(rule_set, portion, can_weigh=not wrong))
    return ReadPortion(portion, rule_set, worked.grader.strip() or by_name)


def _rules(desk: Desk) -> tuple[RuleSet, ...]:
    return rules_of(desk.station)


def _misfits(rule_set: RuleSet, portion: bench.Portion, *, can_weigh: bool) -> list[Mistake]:
    names = list(name_mistakes(rule_set, portion))
    return names if names or not can_weigh else list(weight_mistakes(rule_set, portion))


def document_of(worked: Worked, class_name: str) -> dict[str, Any]:
    """Write the words as the named values that `grade -` reads."""
    numbers = {
        "portion_g": worked.portion,
        "gross_g": worked.gross,
        "dockage_g": worked.dockage,
        "sound_g": worked.sound,
        "moisture_pct": worked.moisture,
        "seed_weight_g_per_100": worked.seed_weight,
    }
    return {
        "class": class_name,
        **{name: _number(value) for name, value in numbers.items()},
        "weights_g": {dish: _number(grams) for dish, grams in worked.weights.items()},
        "counts": {dish: _number(pieces) for dish, pieces in worked.counts.items()},
        "overlap_g": [{**each, "g": _number(each.get("g"))} for each in worked.overlap],
        "appearance": {thing: word for thing, word in worked.appearance.items() if word not in (None, "")},
        "stops": list(worked.stops),
    }


def _number(typed: Typed) -> Typed:
    """Read a number as people write it; what can't be read goes on as it is, to be refused with its field."""
    if typed is None or (isinstance(typed, str) and not typed.strip()):
        return None
    try:
        return read_amount(typed).value
    except Mistake:
        return typed


def _noted(value: Any) -> Any:
    """Keep typed words as text, for the act's own text holds no floats."""
    if isinstance(value, Mapping):
        return [f"{name} {typed_text(each)}" for name, each in value.items() if each not in (None, "")]
    if isinstance(value, list | tuple):
        return [_noted(each) for each in value]
    return value


def _text(amount: Decimal | None) -> str:
    return "" if amount is None else f"{amount:f}"
