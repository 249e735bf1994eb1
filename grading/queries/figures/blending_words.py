"""The typed words of a blend plan: read against the books, with everything that stands in the way at its field."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from grading.queries.blend_limits import LotReads, Margin, limits_of
from grading.queries.blend_lots import BlendLot, blend_lots
from grading.queries.editions import rules_of
from grading.queries.figures.blending_masses import mix_lot, total_mistakes
from grading.queries.figures.given import given
from grading.queries.figures.grading_words import grade_of
from grading.queries.in_force import rule_set_for
from grading.rules.mistakes import Missing, OutOfRange, UnknownWord
from grading.rules.mixing import MG_PER_G, MixLot
from grading.rules.rounding import limit_number
from grading.rules.rule_set import Grade, RuleSet, folded_class
from inventory.models import Station
from inventory.queries.finding import find_lot
from inventory.queries.today import today_at
from inventory.rules.blending import TwoLines, lots_mistakes
from inventory.rules.gathering import Gathering
from inventory.rules.mass import MG_PER_KG
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.reading import listed, typed_text

MOST_LOTS = 100
MOST_KG = 100_000
SEED, POOREST = "most seed", "poorest first"


class OfAnotherClass(Mistake):
    """A lot of another market class than the mix is to be read as."""

    code = "of_another_class"

    def __init__(self, lot: str, own: str, wanted: str, field: str) -> None:
        says = f"{lot} was graded as {own}: in a mix read as {wanted} every bean of it is of another class"
        super().__init__(f"{says}. Leave it out, or plan the lots of {own} alone and read them as {own}.", field=field)


@dataclass(frozen=True, kw_only=True)
class LotAsked:
    """A lot that may go in, and the least and the most of it; all there is, if not said."""

    lot: Any
    least_kg: Any = None
    most_kg: Any = None


@dataclass(frozen=True, kw_only=True)
class BlendPlanAsked:
    """What may go in, and what the mix is to be."""

    lots: Sequence[LotAsked]
    grade: str
    total_kg: Any = None
    margin_points: Any = None
    margin_points_of: Mapping[str, Any] = field(default_factory=dict)
    chance_pct: Any = None
    germination_pct: Any = None
    bag_kg: Any = None
    aim: str = field(default=SEED, metadata={"looks": f"{SEED} or {POOREST}"})
    keep_promised: bool = False
    rule_set: str = ""
    market_class: str = ""
    two_lines_reason: str = field(default="", metadata={"looks": "why lots of several lines may meet"})


@dataclass(frozen=True)
class ReadPlan:
    """The words as understood.

    Attributes:
        mix_lots: what may go in of each lot, in the order of `lots`.
        total: [mg]; None where any will do.
        step: a gram or a bag [mg].
        floor: least germination [1].
    """

    rule_set: RuleSet
    class_name: str
    grade: Grade
    lots: list[LotReads]
    mix_lots: list[MixLot]
    margin: Margin
    total: int | None
    step: int
    floor: Fraction | None
    is_poorest_first: bool

    @property
    def limits(self) -> dict[str, str]:
        """Factor -> limit as written, of all that the grade hangs on."""
        return limits_of(self.rule_set, self.class_name, self.grade)


@dataclass(frozen=True)
class _Numbers:
    total: int | None
    step: int
    margin: Margin
    floor: Fraction | None
    ends: list[tuple[int | None, int | None]]


def read_plan(asked: BlendPlanAsked, station: Station) -> ReadPlan:
    """Read the typed words against the books.

    Raises:
        Refused: what cannot be read; lots that may not be blended, two lines without a reason, a rule set that does not
            fit, masses that cannot be together.
    """
    words = Gathering()
    numbers = _numbers(words, asked)
    aim = words.word(asked.aim, "aim", (SEED, POOREST), default=SEED)
    lots = _lots(words, asked, station)
    words.add(*_lines_mistakes(lots, asked.two_lines_reason))
    under = words.attempt(lambda: _rule_set(asked, lots, station)) if lots else None
    grade = words.attempt(lambda: _grade(*under, asked.grade)) if under else None
    words.add(*(class_mistakes(lots, *under) if under else []))
    reads = _reads(words, lots, *under) if under else []
    if under and grade:
        words.add(*_lot_mistakes(reads, *under, grade, numbers))
    mix_lots = [
        mix_lot(words, lot, ends, numbers.step, place, keep=asked.keep_promised)
        for place, (lot, ends) in enumerate(zip(lots, numbers.ends, strict=False), 1)
    ]
    if len(lots) == len(asked.lots):
        words.add(*total_mistakes(mix_lots, numbers.total, numbers.step))
    words.finish()
    rule_set, class_name = given(under)
    return ReadPlan(
        rule_set, class_name, given(grade), reads, mix_lots, numbers.margin, numbers.total, numbers.step,
        numbers.floor, aim == POOREST,
    )  # fmt: skip


def _numbers(words: Gathering, asked: BlendPlanAsked) -> _Numbers:
    bag = _kg(words, asked.bag_kg, "bag_kg", least="0.001")
    points = words.number(asked.margin_points, "margin_points", unit="points", least=0, most=100, needed=False)
    chance = words.number(asked.chance_pct, "chance_pct", unit="%", least=50, most="99.9", needed=False)
    floor = words.number(asked.germination_pct, "germination_pct", unit="%", least=0, most=100, needed=False)
    points_of = {
        name: words.number(typed, f"margin_points_of.{name}", unit="points", least=0, most=100)
        for name, typed in asked.margin_points_of.items()
    }
    if (points or points_of) and chance:
        says = "Give the margin in points or as a chance, not both: chance_pct counts each lot with its upper bound."
        words.add(OutOfRange(says, field="chance_pct"))
    ends = [
        (_kg(words, lot.least_kg, f"lots.{place}.least_kg"), _kg(words, lot.most_kg, f"lots.{place}.most_kg"))
        for place, lot in enumerate(asked.lots, 1)
    ]
    return _Numbers(
        total=_kg(words, asked.total_kg, "total_kg", least="0.001"),
        step=bag or MG_PER_G,
        margin=Margin(
            Fraction(points or 0),
            None if chance is None else float(chance) / 100,
            {name: Fraction(read) for name, read in points_of.items() if read is not None},
        ),
        floor=None if floor is None else Fraction(floor) / 100,
        ends=ends,
    )


def _kg(words: Gathering, typed: object, field: str, *, least: object = 0) -> int | None:
    """Read kilograms to the gram [mg]."""
    read = words.number(typed, field, unit="kg", least=least, most=MOST_KG, needed=False)
    if read is None:
        return None
    mg = read * MG_PER_KG
    if mg % MG_PER_G:
        words.add(OutOfRange(f"{field} is {read} kg. A plan weighs whole grams: give at most 3 decimals.", field=field))
        return None
    return int(mg)


def _lots(words: Gathering, asked: BlendPlanAsked, station: Station) -> list[BlendLot]:
    if len(asked.lots) > MOST_LOTS:
        says = f"{len(asked.lots)} lots are named; a plan takes up to {MOST_LOTS}. Leave some out."
        words.add(OutOfRange(says, field="lots"))
        return []
    fields = [f"lots.{place}.lot" for place in range(1, len(asked.lots) + 1)]
    found = [
        words.attempt(lambda lot=lot, field=field: find_lot(station, typed_text(lot.lot), field=field)[0])  # type: ignore[misc]
        for lot, field in zip(asked.lots, fields, strict=True)
    ]
    if None in found:
        return []
    known = [lot for lot in found if lot is not None]
    twice = lots_mistakes([lot.number for lot in known])
    for mistake in twice:
        mistake.field = "lots"
    words.add(*twice)
    lots, wrong = blend_lots(station, known, today_at(station), fields)
    words.add(*wrong)
    return lots if not wrong and not twice else []


def _lines_mistakes(lots: Sequence[BlendLot], reason: str) -> list[Mistake]:
    lines = {lot.line.pk if lot.line else None: str(lot.line or "a blend") for lot in lots}
    if len(lines) < 2 or reason.strip():
        return []
    classes = {folded_class(lot.graded.portion.class_name) for lot in lots}
    asked = TwoLines(sorted(lines.values()), loses_class=len(classes) > 1)
    asked.field = "two_lines_reason"
    asked.says = asked.says.replace("Write why, or stop.", "Write why as two_lines_reason=…, or stop.")
    return [asked]


def class_mistakes(lots: Sequence[BlendLot], rule_set: RuleSet, class_name: str) -> list[Mistake]:
    """Want every lot to be of the class that the mix is read as: all seed of another class would be contrasting.

    Lots that are all of one class may be read under a rule set that does not know that class by its name.
    """
    wanted = folded_class(class_name)
    of = [folded_class(lot.graded.portion.class_name) for lot in lots]
    is_one_class = len(set(of)) == 1
    return [
        OfAnotherClass(lot.number, lot.graded.portion.class_name, class_name, f"lots.{place}.lot")
        for place, (lot, own) in enumerate(zip(lots, of, strict=True), 1)
        if own != wanted and (own in rule_set.table_by_class or not is_one_class)
    ]


def _rule_set(asked: BlendPlanAsked, lots: Sequence[BlendLot], station: Station) -> tuple[RuleSet, str]:
    """Choose the rule set and class that the lots were graded under, unless others are named."""
    classes = {folded_class(lot.graded.portion.class_name): lot.graded.portion.class_name for lot in lots}
    if len(classes) > 1 and not asked.market_class.strip():
        says = (
            f"The lots were graded as {listed(sorted(classes.values()), 'and')}. A blend holds one class: leave the "
            "others out."
        )
        raise Missing("market_class", says)
    class_name = asked.market_class.strip() or next(iter(classes.values()))
    sets = {(lot.graded.rule_set.id, lot.graded.rule_set.edition): lot.graded.rule_set for lot in lots}
    fits = folded_class(class_name) in next(iter(sets.values())).table_by_class
    if len(sets) == 1 and fits and not asked.rule_set.strip():
        return next(iter(sets.values())), class_name
    return rule_set_for(asked.rule_set, class_name, today_at(station), station.code, rules_of(station)), class_name


def _grade(rule_set: RuleSet, class_name: str, typed: str) -> Grade:
    found = grade_of(rule_set, class_name, typed)
    if found is None:
        _, table = rule_set.table_by_class[folded_class(class_name)]
        raise Missing(
            "grade", f"Give the grade that the blend is to hold: {listed([one.name for one in table.grades])}."
        )
    return found


def _reads(words: Gathering, lots: Sequence[BlendLot], rule_set: RuleSet, class_name: str) -> list[LotReads]:
    read = []
    for place, lot in enumerate(lots, 1):
        try:
            read.append(LotReads(lot, lot.under(rule_set, class_name)))
        except Refused as refused:
            for mistake in refused.mistakes:
                says = f"{lot.number} cannot be read under {rule_set.id}: {mistake.says}"
                words.add(OutOfRange(says, field=f"lots.{place}.lot"))
    return read


def _lot_mistakes(
    lots: Sequence[LotReads], rule_set: RuleSet, class_name: str, grade: Grade, numbers: _Numbers
) -> list[Mistake]:  # fmt: skip
    wrong: list[Mistake] = _margin_mistakes(rule_set, class_name, grade, numbers.margin)
    for place, lot in enumerate(lots, 1):
        field, number = f"lots.{place}.lot", lot.lot.number
        wrong += [OutOfRange(f"{number}: {says}", field=field) for says in _judged_short(lot, rule_set, grade)]
        limited = [rule_set.factors[name] for name in limits_of(rule_set, class_name, grade)]
        unread = [factor.words for factor in limited if factor.name not in lot.outcome.shares]
        if unread:
            says = f"{listed(unread, 'and')} was not read, and {grade.name} limits it. Read it first"
            wrong.append(OutOfRange(f"{number}: {says}.", field=field))
        needed = [factor for factor in limited if factor.has_chance]
        if numbers.margin.level is not None and any(lot.beans(factor) is None for factor in needed):
            says = "nothing says how many beans were picked. Give its 100-seed weight, or a margin in points"
            wrong.append(OutOfRange(f"{number}: {says}.", field=field))
        if numbers.floor is not None and lot.germination is None:
            says = "it has no valid germination test. Test it, or leave germination_pct out."
            wrong.append(OutOfRange(f"{number}: {says}", field=field))
    return wrong


def _judged_short(lot: LotReads, rule_set: RuleSet, grade: Grade) -> list[str]:
    """What is judged by eye does not mix by mass: a lot that falls short of the grade stays out."""
    seen = lot.lot.graded.portion.judged
    return [
        f"{rule_set.judged[thing].words} was judged {seen[thing].replace('_', ' ')}, {grade.name} asks "
        f"{wanted.replace('_', ' ')}. What is judged by eye cannot be mixed by mass: leave it out."
        for thing, wanted in grade.needs.items()
        if thing in seen and not rule_set.judged[thing].meets(seen[thing], wanted)
    ]


def _margin_mistakes(rule_set: RuleSet, class_name: str, grade: Grade, margin: Margin) -> list[Mistake]:
    limits = limits_of(rule_set, class_name, grade)
    unknown = [
        UnknownWord(f"limit of {grade.name}", name, limits, f"margin_points_of.{name}")
        for name in margin.points_of
        if name not in limits
    ]
    tight = [
        f"{rule_set.factors[name].words} {limit}"
        for name, limit in limits.items()
        if 0 < limit_number(limit) <= margin.of(name)
    ]
    if not tight:
        return [*unknown]
    says = (
        f"The margin leaves nothing of {grade.name}'s {listed(tight, 'and')}. Give less, give it for one factor, as in"
    )
    return [*unknown, OutOfRange(f"{says} margin_points_of.NAME, or as chance_pct.", field="margin_points")]
