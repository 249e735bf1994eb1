"""The questions that grading answers on the list of lots; each reads the lots in store alone, by one or two queries."""

from collections.abc import Callable, Mapping
from typing import Any

from grading.models import Portion, SeedTest
from grading.queries.behind import held_back, hint_of, in_100
from grading.queries.blind import lots_hidden_from
from grading.queries.finding import standing_portions, standing_samples, standing_tests
from grading.queries.germination import (
    MOST_MONTHS,
    Tested,
    months_before,
    newest_valid,
    tested_of,
    threshold_of,
)
from grading.queries.grades import Graded, editions_behind, first_grade, graded_of
from grading.queries.likeness_words import says
from grading.queries.looks import looks_of
from grading.rules.germination import is_too_near_to_call
from hilum.plugins import LotQuestion
from inventory.models import Standing, Station, Stock
from inventory.queries.today import today_at

Answer = Mapping[str, str]


def _of_station(find: Callable[[Station], Answer]) -> Callable[[str, str], Answer]:
    return lambda code, _person: find(Station.objects.get(code=code))


def _of_person(find: Callable[[Station, str], Answer]) -> Callable[[str, str], Answer]:
    return lambda code, person: find(Station.objects.get(code=code), person)


def no_sample(station: Station) -> Answer:
    """Lots of which no sample was drawn (1 query)."""
    sampled = standing_samples(station).values("lot")
    made = Standing.objects.filter(lot__in=_in_store(station), made_by__isnull=False).exclude(lot__in=sampled)
    return dict.fromkeys(made.values_list("lot__number", flat=True), "no sample was drawn")


def below(station: Station) -> Answer:
    """Lots whose germination is below the threshold."""
    least = threshold_of(station)
    return {lot: _tested(test) for lot, test in _valid(station) if test.result.mean_pct < least}


def too_near(station: Station) -> Answer:
    """Lots whose germination is too near to the threshold to call."""
    least = threshold_of(station)
    chances = [(lot, test, test.chance_at_least(least)) for lot, test in _valid(station)]
    return {
        lot: f"{_tested(test)}, {in_100(chance)} that it is at least {least} %"
        for lot, test, chance in chances
        if is_too_near_to_call(chance)
    }


def repeat(station: Station) -> Answer:
    """Lots whose newest test spread too wide."""
    newest = {lot: tests[0] for lot, tests in _tests(station).items()}
    return {
        lot: f"{test.number} spread {test.result.spread}, allowed {test.result.allowed}"
        for lot, test in newest.items()
        if test.needs_retest
    }


def untested(station: Station) -> Answer:
    """Lots that were never tested, or not within twelve months."""
    since, tests = months_before(today_at(station), MOST_MONTHS), _tests(station)
    lots = Standing.objects.filter(lot__in=_in_store(station), made_by__isnull=False)
    newest = {lot: newest_valid(tests.get(lot, [])) for lot in lots.values_list("lot__number", flat=True)}
    return {lot: _age(test) for lot, test in newest.items() if test is None or test.on < since}


def not_first(station: Station, person: str = "") -> Answer:
    """Lots that are not of the first grade by their newest sample."""
    return {lot: _held(graded) for lot, graded in _graded(station, person) if not _is_first(graded)}


def one_factor(station: Station, person: str = "") -> Answer:
    """Lots that a single factor keeps from the first grade."""
    return {
        lot: _held(graded)
        for lot, graded in _graded(station, person)
        if not _is_first(graded) and len(graded.outcome.limiting) == 1
    }


def unlike(station: Station) -> Answer:
    """Lots in store that do not look like the line they stand under; reads all that was measured."""
    looks = looks_of(station)
    found = {each.lot.lot: says(each) for each in looks.strange} | {look.weighed.lot: look.says for look in looks.rough}
    there = set(Stock.objects.filter(station=station, mg__gt=0).values_list("lot__number", flat=True))
    return {lot: why for lot, why in found.items() if lot in there}


QUESTIONS = (
    LotQuestion("no-sample", "no sample", "Every lot in store was sampled.", _of_station(no_sample)),
    LotQuestion(
        "below", "germination too low", "No lot is below the germination threshold.", _of_station(below), "untested"
    ),
    LotQuestion(
        "too-near", "germination too near to call", "No lot is too near to it to call.",
        _of_station(too_near),
        "untested",
    ),
    LotQuestion("repeat", "test again", "No test spread too wide.", _of_station(repeat)),
    LotQuestion(
        "untested", f"not tested in {MOST_MONTHS} months", f"Every lot was tested within {MOST_MONTHS} months.",
        _of_station(untested),
    ),
    LotQuestion("not-first", "not of the first grade", "Every graded lot is of the first grade.",
                _of_person(not_first), "no-sample"),
    LotQuestion("one-factor", "limited by one factor", "No lot is held back by one factor alone.",
                _of_person(one_factor), "not-first"),
    LotQuestion("unlike", "looks like another line", "Every measured lot looks like its line.", _of_station(unlike)),
)  # fmt: skip


def _in_store(station: Station) -> Any:
    return Stock.objects.filter(station=station, mg__gt=0).values("lot")


def _tests(station: Station) -> dict[str, list[Tested]]:
    """The tests of every lot in store, the newest first (1 query)."""
    rows: list[SeedTest] = list(
        standing_tests(station).filter(lot__in=_in_store(station)).order_by("-operation__at", "-operation__seq")
    )
    found: dict[str, list[Tested]] = {}
    for row in rows:
        found.setdefault(row.lot.number, []).append(tested_of(row, station))
    return found


def _valid(station: Station) -> list[tuple[str, Tested]]:
    return [(lot, test) for lot, tests in _tests(station).items() if (test := newest_valid(tests))]


def _graded(station: Station, person: str) -> list[tuple[str, Graded]]:
    """The newest portion of every lot in store but those that a person may not see (2 queries, up to 4 more)."""
    hidden = lots_hidden_from(station, person)
    rows = standing_portions(station).filter(sample__lot__in=_in_store(station), sample__is_blind=False)
    order = ("sample__operation__at", "sample__operation__seq", "operation__at", "operation__seq")
    newest: dict[str, Portion] = {row.sample.lot.number: row for row in rows.order_by(*order)}
    shown = {lot: row for lot, row in newest.items() if row.sample.lot_id not in hidden}
    own = editions_behind(station, shown.values())
    return [(lot, graded) for lot, row in shown.items() if (graded := graded_of(row, own))]


def _is_first(graded: Graded) -> bool:
    return first_grade(graded.outcome) in graded.outcome.qualifies_for


def _held(graded: Graded) -> str:
    result = graded.outcome
    said = "; ".join(filter(None, (*held_back(result), hint_of(graded))))
    return f"{result.grade} by {graded.sample.number}: {said}".rstrip(": ")


def _tested(test: Tested) -> str:
    return f"{test.result.mean_pct} % by {test.number} of {test.on}"


def _age(test: Tested | None) -> str:
    return "never tested" if test is None else f"last tested {test.on}"
