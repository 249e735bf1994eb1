"""What a graded portion says: its weight and moisture, its dishes, each factor as it reads, and the grade.

A grade's limits and the portion under them never change once they are in the books, so what a portion reads as is
worked out once a process and kept under the hash of its act.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from api.brapi.asked import Asked
from grading.models import Portion
from grading.queries.blind import hidden_from
from grading.queries.finding import standing_portions
from grading.queries.grades import editions_behind, graded_of
from grading.rules.outcome import Outcome
from grading.rules.rule_set import PER_MASS, RuleSet
from grading.rules.timeline import Key
from inventory.rules.variables import Part, Scale, ScaleKind, Variable

DISH, PIECES, FACTOR = "DISH:", "PIECES:", "FACTOR:"
PORTION, MOISTURE, GRADE = "PORTION:weight", "PORTION:moisture", "PORTION:grade"
DOCKAGE = f"{FACTOR}dockage"
MOST_KEPT = 20_000  # portions, about 2 kB each
_SAMPLE = ("sample",)
_WEIGHED = Part("LOCAL:picked", "Picked and weighed", "Measurement", "Pick the portion into dishes and weigh each.")
_COUNTED = Part("LOCAL:counted", "Picked and counted", "Counting", "Pick the portion into dishes and count each.")
_METER = Part("LOCAL:meter", "Moisture meter", "Measurement")
_READ = Part(
    "LOCAL:read", "Read under a rule set", "Computation",
    "Dishes summed, divided by what the rule set stands the factor on, and rounded once to the decimals of its limit.",
)  # fmt: skip
_GRADED = Part(
    "LOCAL:graded", "Graded under a rule set", "Computation",
    "The portion held against the limits of its class, under the rule set and edition named beside each grade. "
    "An in-house reading, not an official certificate.",
)  # fmt: skip
_GRAMS = Scale("LOCAL:g", "g", ScaleKind.NUMBER, "g")
_COUNT = Scale("LOCAL:piece", "pieces", ScaleKind.NUMBER, "piece")
_WET = Scale("LOCAL:percent-wb", "% wet basis", ScaleKind.NUMBER, "%")
_SHARE = Scale("LOCAL:percent", "%", ScaleKind.NUMBER, "%")


@dataclass(frozen=True, slots=True)
class Found:
    """One thing that was found in a portion.

    Attributes:
        variable: its id.
        value: as exact text.
        extra: what stands beside the value.
    """

    variable: str
    value: str
    extra: tuple[tuple[str, str], ...] = ()


_KEPT: dict[str, tuple[Found, ...]] = {}


def portions_of(asked: Asked) -> Iterator[tuple[Portion, list[Found]]]:
    """Give the portions that the account may see, each with what was found (1 query, 2 to know what is hidden).

    It costs 1 more where the station has rules of its own.
    """
    hidden = hidden_from(asked.station, asked.person)
    rows = list(standing_portions(asked.station).exclude(sample__in=hidden).order_by("pk"))
    own = editions_behind(asked.station, rows)
    for row in rows:
        yield row, [*_weighed(row), *_read(row, own)]


def _weighed(row: Portion) -> list[Found]:
    found = [Found(PORTION, row.portion_g), Found(MOISTURE, row.moisture_pct)]
    found += [Found(f"{DISH}{dish}", str(grams)) for dish, grams in row.weights_g.items()]
    return found + [Found(f"{PIECES}{dish}", str(pieces)) for dish, pieces in row.counts.items()]


def _read(row: Portion, own: Mapping[Key, RuleSet]) -> tuple[Found, ...]:
    """Give the factors and the grade of a portion; nothing where its edition is no longer here."""
    known = _KEPT.get(row.operation.hash)
    if known is None:
        graded = graded_of(row, own)
        known = tuple(_outcome(graded.outcome)) if graded else ()
        if len(_KEPT) >= MOST_KEPT:
            _KEPT.clear()
        _KEPT[row.operation.hash] = known
    return known


def _outcome(result: Outcome) -> Iterator[Found]:
    for reading in result.readings:
        factor = reading.factor
        # Pieces in so many grams are no per cent, so they are a variable of their own.
        variable = f"{FACTOR}{factor.name}" + (f":per-{factor.per_g}-g" if factor.taken_by == PER_MASS else "")
        extra = (("exactShare", str(reading.share)), ("readTo", reading.read_to))
        yield Found(variable, f"{reading.read_pct:f}", extra)
    if result.dockage:
        exact = (("exactShare", str(result.dockage.share)),)
        yield Found(DOCKAGE, f"{result.dockage.read_pct:f}", exact)
    qualifies = ", ".join(result.qualifies_for)
    yield Found(GRADE, result.grade, (("qualifiesFor", qualifies), ("official", "false")))


def variables_in(portions: Iterable[tuple[Portion, list[Found]]]) -> list[Variable]:
    """Give a variable for each kind of thing that was found in portions, in the order of their ids."""
    keys, grades = set[str](), set[str]()
    for _row, found in portions:
        keys |= {one.variable for one in found if one.value}
        grades |= {one.value for one in found if one.variable == GRADE}
    return [_variable(key, grades) for key in sorted(keys)]


def _variable(key: str, grades: set[str]) -> Variable:
    trait = Part(f"{key}-trait", _TRAITS[_kind_of(key)].format(_words(key).capitalize()), "Grading")
    return Variable(key, name_of(key), trait, _METHODS[_kind_of(key)], _scale(key, grades), of=_SAMPLE)


def _scale(key: str, grades: set[str]) -> Scale:
    if key == GRADE:
        # Rule sets have grades of their own, and no order lies over all of them.
        return Scale("LOCAL:grades", "grades", ScaleKind.WORD, categories=tuple((one, one) for one in sorted(grades)))
    if per := _per(key):
        return Scale(f"LOCAL:piece-{per}", f"pieces {per}", ScaleKind.NUMBER, "piece")
    return _SCALES[_kind_of(key)]


_METHODS = {
    DISH: _WEIGHED, PORTION: _WEIGHED, PIECES: _COUNTED, MOISTURE: _METER, FACTOR: _READ, GRADE: _GRADED,
}  # fmt: skip
_SCALES = {DISH: _GRAMS, PORTION: _GRAMS, PIECES: _COUNT, MOISTURE: _WET, FACTOR: _SHARE}
_TRAITS = {
    DISH: "{} in the portion", PIECES: "{} in the portion", FACTOR: "{}, as a factor of the grade",
    PORTION: "Weight of the portion", MOISTURE: "Moisture of the portion", GRADE: "Grade of the portion",
}  # fmt: skip
_NAMES = {
    DISH: "{} weight", PIECES: "{} pieces", FACTOR: "{} reading", PORTION: "portion weight",
    MOISTURE: "portion moisture", GRADE: "in-house grade",
}  # fmt: skip


def name_of(key: str) -> str:
    """Give the name of a variable of portions, the same wherever it is told."""
    return f"{_NAMES[_kind_of(key)].format(_words(key))} {_per(key)}".strip()


def _kind_of(key: str) -> str:
    return next((kind for kind in (DISH, PIECES, FACTOR) if key.startswith(kind)), key)


def _words(key: str) -> str:
    return key.split(":")[1].replace("_", " ")


def _per(key: str) -> str:
    """Give in how much pieces are counted, "" for what is no such factor: "per 500 g"."""
    parts = key.split(":")
    return parts[2].replace("-", " ") if key.startswith(FACTOR) and len(parts) > 2 else ""


def dbid_of(part_id: str) -> str:
    """Write an id as it stands in an address: without a slash, which a dish's name may hold."""
    return part_id.replace("/", "|")
