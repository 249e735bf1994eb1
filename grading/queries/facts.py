"""A lot's grade, germination and health in a few short words, for lists of many lots."""

from collections.abc import Sequence
from decimal import Decimal

from grading.queries.blind import lots_hidden_from
from grading.queries.finding import day_of
from grading.queries.germination import germinations_of, newest_valid
from grading.queries.grades import first_grade, grades_of
from grading.queries.seed_tests import alarm_words, counts_of
from grading.rules.outcome import Outcome, Reading
from grading.rules.rule_set import NIL
from inventory.models import Lot, Station
from inventory.queries.uses import in_parts


def facts_of_lots(station: Station, lot_numbers: Sequence[str], person: str = "") -> dict[str, dict[str, str]]:
    """Say of lots what `stock` shows (4 queries for each 5,000 lots, 1 more where health was tested).

    Args:
        person: account that looks, up to 4 queries more; grades of lots that a blind re-grade hides from it are left
            out. "" where nobody is known.

    Returns:
        Number -> `last_grade` ("No. 2", by the newest sample) with `nearest_limit` ("total defects 1.58 of 2.00"), and
        `last_germination` ("94 %", by the newest valid test), each with its day (`last_grade_on`, ISO 8601);
        `seed_health` where a count is over its limit or too near to call; a lot without has none of them.
    """
    facts: dict[str, dict[str, str]] = {}
    hidden = lots_hidden_from(station, person)
    for some in in_parts(list(lot_numbers)):
        lots = dict(Lot.objects.filter(station=station, number__in=some).values_list("pk", "number"))
        grades, tests = grades_of(station, lots), germinations_of(station, lots)
        counts = counts_of(station, lots)
        for key, number in lots.items():
            said = {}
            if grades.get(key) and key not in hidden:
                said["last_grade"] = grades[key][0].outcome.grade
                said["nearest_limit"] = nearest_limit(grades[key][0].outcome)
                said["last_grade_on"] = day_of(grades[key][0].sample.operation, station).isoformat()
            if test := newest_valid(tests.get(key, [])):
                said["last_germination"] = f"{test.result.mean_pct} %"
                said["last_germination_on"] = test.on.isoformat()
            if alarm := alarm_words(counts.get(key, [])):
                said["seed_health"] = alarm
            facts[number] = said
    return facts


def nearest_limit(result: Outcome) -> str:
    """Say which factor holds a grade back, else which is nearest to the best grade's limit; "" where none has one."""
    if result.limiting and result.limiting[0].read_pct is not None:
        first = result.limiting[0]
        return f"{first.words} {first.read_pct}, limit {first.limit}"
    grade = first_grade(result)
    held = [(reading, Decimal(reading.limits[grade])) for reading in result.readings if _has(reading, grade)]
    if not held:
        return ""
    reading, limit = max(held, key=lambda pair: pair[0].read_pct / pair[1])
    return f"{reading.factor.words} {reading.read_pct} of {limit}"


def _has(reading: Reading, grade: str) -> bool:
    limit = reading.limits.get(grade, NIL)
    return limit != NIL and Decimal(limit) > 0
