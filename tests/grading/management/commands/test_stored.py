"""`grade --sample` and `watch` on the books."""

import pytest

from tests.grading.station import (
    Bench,
    benched,
    row_of,
    season_of_lots,
    season_of_samples,
    season_of_tests,
    station,
    table,
)
from tests.inventory.management.asking import ask

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench() -> Bench:
    made = station()
    made.lots("24-0018-7")
    made.bench(benched(row_of(table("samples"), "G04")))
    return made


def test_a_stored_sample_is_graded_in_the_same_form(bench: Bench) -> None:
    answer = ask("grade", "--sample", "G04", "--json")
    promised = ("grade", "qualifies_for", "limiting", "factors", "rule_set", "edition", "source", "notes")
    assert set(promised) <= set(answer.json)
    assert (answer.json["grade"], answer.json["lot"]) == ("No. 2", "24-0018-7")


def test_without_json_the_answer_is_lines_of_text(bench: Bench) -> None:
    out = ask("grade", "--sample", "g04").out
    assert "No. 2: contrasting classes 0.62, limit 0.50" in out
    assert "Rule set QM-DEMO, edition 1; demo limits, from memory, not official" in out


@pytest.mark.parametrize(
    "words", [("--sample", "G99"), (), ("-", "--sample", "G04"), ("--sample", "G04", "--rule-set", "none")]
)
def test_what_cannot_be_used_is_status_2(bench: Bench, words: tuple[str, ...]) -> None:
    answer = ask("grade", *words)
    assert (answer.status, answer.out) == (2, "")
    assert answer.err.strip().endswith((".", "?"))
    assert "Error" not in answer.err


def test_the_watch_prints_every_list() -> None:
    bench = station()
    season_of_lots(bench)
    season_of_samples(bench)
    season_of_tests(bench)
    answer = ask("watch", "--today", "2026-03-31", "--json")
    assert answer.status == 0
    assert [row["lot"] for row in answer.json["below"]] == ["24-0023-0"]
    assert "25-0019-2" in [row["lot"] for row in answer.json["not_first"]]
    text = ask("watch", "--today", "31.3.2026").out
    assert "Too near to call at 85 %: 1\n  25-0019-2  P-1  597.7 kg  86 % by T11 of 2025-11-18, 71 % chance" in text
    assert "less than 1 in 100" in text


def test_a_day_that_cannot_be_read_is_status_2(bench: Bench) -> None:
    assert ask("watch", "--today", "soon").status == 2
