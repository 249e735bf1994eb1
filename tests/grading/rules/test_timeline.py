"""Editions in time: of one id never two are in force, whatever begins and is withdrawn when."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from grading.queries.shipped import shipped_rule_set
from grading.rules.rule_form import read_rule_set
from grading.rules.rule_set import RuleSet
from grading.rules.timeline import begin_mistakes, dated, end_mistakes, key_of, timeline
from tests.grading.ruling import DEMO, edition

START = date(2024, 1, 1)
DAYS = st.dates(START, date(2026, 12, 31))


def own(name: str, begins: date, until: date | None = None) -> RuleSet:
    return dated(read_rule_set(edition(name)), begins, until)


@given(st.lists(DAYS, unique=True, max_size=5), st.dictionaries(st.integers(0, 4), DAYS, max_size=3), DAYS)
def test_on_no_day_are_two_editions_of_one_id_in_force(begins: list[date], gone: dict[int, date], day: date) -> None:
    editions = [own(f"e{at}", each) for at, each in enumerate(begins)]
    withdrawn = {("qm-demo", f"e{at}"): ends for at, ends in gone.items()}
    in_time = timeline(editions, withdrawn)
    assert sum(each.is_in_force(day) for each in in_time) <= 1
    assert {key_of(each) for each in in_time} == {key_of(each) for each in editions}
    for each in in_time:
        assert each.in_force_until is None or each.in_force_until <= withdrawn.get(key_of(each), date.max)


def test_without_withdrawals_there_is_no_gap_between_editions() -> None:
    first, second = timeline([own("b", date(2025, 3, 1)), own("a", START)], {})
    assert (first.edition, first.in_force_until) == ("a", date(2025, 2, 28))
    assert (second.in_force_from, second.in_force_until) == (date(2025, 3, 1), None)


def test_editions_of_other_ids_do_not_end_each_other() -> None:
    both = timeline([own("a", START), shipped_rule_set("CA-BEANS")], {})
    assert [each.in_force_until for each in both] == [None, None]


def test_an_edition_that_says_its_own_end_keeps_it() -> None:
    first, _second = timeline([own("a", START, date(2024, 6, 30)), own("b", date(2025, 1, 1))], {})
    assert first.in_force_until == date(2024, 6, 30)


def test_the_same_days_give_the_same_object_so_that_it_is_made_ready_once() -> None:
    rule_set = shipped_rule_set("QM-DEMO")
    assert dated(rule_set, START, None) is rule_set
    assert dated(rule_set, START, date(2025, 1, 1)) is dated(rule_set, START, date(2025, 1, 1))


@pytest.mark.parametrize(
    ("begins", "until", "says"),
    [
        (date(2024, 1, 1), None, ["two_in_force"]),
        (date(2023, 1, 1), None, ["two_in_force"]),
        (date(2024, 1, 2), None, []),
        (date(2025, 1, 2), date(2025, 1, 1), ["ends_before"]),
    ],
)
def test_it_begins_after_the_last_one_and_ends_after_it_begins(
    begins: date, until: date | None, says: list[str]
) -> None:
    known = timeline([shipped_rule_set("QM-DEMO")], {})
    found = begin_mistakes(own("2", begins, until), begins, known)
    assert [mistake.code for mistake in found] == says


def test_an_edition_may_end_on_the_day_before_it_begins_and_so_never_was() -> None:
    rule_set = shipped_rule_set("QM-DEMO")
    assert '"from": "2024-01-01"' in DEMO
    assert end_mistakes(rule_set, START - timedelta(days=1)) == []
    assert [each.code for each in end_mistakes(rule_set, START - timedelta(days=2))] == ["ends_before"]
    [ended] = timeline([rule_set], {key_of(rule_set): START - timedelta(days=1)})
    assert not ended.is_in_force(START)
