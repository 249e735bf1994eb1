"""Rule sets drafted, put in force and withdrawn by people; a grade keeps its edition."""

import json
from datetime import date
from typing import Any

import pytest

from grading.models import Portion, RuleEdition, RulesDraft
from grading.queries.checking import record_differences
from grading.queries.editions import rules_of
from grading.queries.grades import sample_answer
from grading.queries.in_force import NotInForce, rule_set_for
from inventory.actions.reversing import reverse
from inventory.importing.acts import book
from inventory.models import Operation
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from tests.grading.refusals import graded
from tests.grading.ruling import DEMO, draft, edition, put, withdraw
from tests.grading.station import NOW, Bench, station

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench() -> Bench:
    bench = station()
    bench.lots("24-0016-5", plot="QM24-P-1-1")
    return bench


def days(bench: Bench) -> list[tuple[str, str | None, str | None]]:
    shown = [each for each in rules_of(bench.plant.station) if each.id == "QM-DEMO"]
    return [
        (each.edition, each.in_force_from and str(each.in_force_from), each.in_force_until and str(each.in_force_until))
        for each in shown
    ]  # fmt: skip


def test_a_draft_is_replaced_as_often_as_one_likes_and_is_outside_the_books(bench: Bench) -> None:
    before = Operation.objects.count()
    assert draft(bench, edition(total="1.50")).operations == ()
    draft(bench, edition(total="1.80"), by="records")
    [kept] = RulesDraft.objects.all()
    assert json.loads(kept.text)["tables"][0]["grades"][0]["limits"]["total_defects"] == "1.80"
    assert str(kept) == "QM-DEMO:2"
    assert Operation.objects.count() == before
    assert days(bench) == [("1", "2024-01-01", None)]


def test_a_draft_may_be_sent_as_text_and_is_kept_as_it_was_sent(bench: Bench) -> None:
    text = DEMO.replace('"edition": "1"', '"edition": "1b"')
    book("draft rules", {"document": text}, station=bench.plant.station, by=bench.plant.bench, now=NOW)
    assert RulesDraft.objects.get().text == text


def test_what_is_put_in_force_ends_the_edition_before_it_and_the_draft_is_gone(bench: Bench) -> None:
    draft(bench, edition())
    [operation] = put(bench, begins="2025-01-01").operations
    assert (operation.kind, operation.reason) == ("put rules in force", "decided in spring")
    assert days(bench) == [("1", "2024-01-01", "2024-12-31"), ("2", "2025-01-01", None)]
    assert not RulesDraft.objects.exists()
    known = rules_of(bench.plant.station)
    for day, wanted in ((date(2024, 12, 31), "1"), (date(2025, 1, 1), "2")):
        assert rule_set_for("", "pinto", day, "QM", known).edition == wanted
        assert rule_set_for("qm-demo", "pinto", day, "QM", known).edition == wanted
    assert verify(bench.plant.station).is_whole


def test_a_sample_keeps_the_edition_that_it_was_graded_under(bench: Bench) -> None:
    words = graded(weights_g={"splits": "9.0"}, sound_g="491.3")  # 1.80 %
    book("grade", words, station=bench.plant.station, by=bench.plant.bench, now=NOW)
    draft(bench, edition(total="1.50"))
    put(bench, begins="2024-10-01")
    book("grade", {**words, "number": "G02"}, station=bench.plant.station, by=bench.plant.bench, now=NOW)
    answers = [sample_answer(bench.plant.station, number) for number in ("G01", "G02")]
    assert [(each["edition"], each["grade"]) for each in answers] == [("1", "No. 1"), ("2", "No. 2")]
    assert sample_answer(bench.plant.station, "G01", "QM-DEMO")["grade"] == "No. 2"  # in force on its day today
    assert [portion.edition for portion in Portion.objects.order_by("pk")] == ["1", "2"]


def test_an_edition_that_was_taken_back_still_reads_what_was_graded_under_it(bench: Bench) -> None:
    draft(bench, edition(total="1.50"))
    [operation] = put(bench, begins="2024-10-01").operations
    words = graded(weights_g={"splits": "9.0"}, sound_g="491.3")
    book("grade", words, station=bench.plant.station, by=bench.plant.bench, now=NOW)
    reverse(operation, station=bench.plant.station, by=bench.plant.records, reason="too early", now=NOW)
    assert days(bench) == [("1", "2024-01-01", None)]
    assert sample_answer(bench.plant.station, "G01")["edition"] == "2"
    assert record_differences(bench.plant.station) == []
    with pytest.raises(Refused, match="edition 2, is in use already"):
        draft(bench, edition(total="1.60"))


def test_one_that_was_taken_back_unused_may_be_put_in_force_again(bench: Bench) -> None:
    draft(bench, edition())
    [operation] = put(bench).operations
    reverse(operation, station=bench.plant.station, by=bench.plant.records, reason="too early", now=NOW)
    draft(bench, edition(total="1.90"))
    put(bench, begins="2025-03-01")
    assert days(bench)[-1] == ("2", "2025-03-01", None)


def test_editions_end_on_the_day_they_are_withdrawn(bench: Bench) -> None:
    draft(bench, edition())
    put(bench)
    withdraw(bench, "2", "2025-06-30")
    assert days(bench)[-1] == ("2", "2025-01-01", "2025-06-30")
    with pytest.raises(NotInForce, match="QM-DEMO was not in force for pinto on 2025-07-01"):
        rule_set_for("QM-DEMO", "pinto", date(2025, 7, 1), "QM", rules_of(bench.plant.station))
    with pytest.raises(Refused, match="ends on 2025-06-30 already"):
        withdraw(bench, "2", "2025-07-31")


def notes(booked: Any) -> list[str]:
    return [note for act in booked.operations for note in json.loads(act.content)["facts"].get("notes", ())]


def test_withdrawing_says_that_nothing_is_in_force_afterwards_and_what_gives_the_days_back(bench: Bench) -> None:
    draft(bench, edition())
    put(bench)
    [said] = notes(withdraw(bench, "2", "2025-06-30"))
    assert said == (
        "From 2025-07-01 on no edition of QM-DEMO is in force: an edition before it does not come back. `book reverse` "
        "of this act gives the days back."
    )


def test_withdrawing_an_edition_before_another_says_when_the_next_begins(bench: Bench) -> None:
    draft(bench, edition())
    put(bench)
    [said] = notes(withdraw(bench, "1", "2024-10-31"))
    assert said.startswith("From 2024-11-01 on no edition of QM-DEMO is in force until edition 2 begins on 2025-01-01:")


def test_a_first_day_before_graded_samples_is_asked_about(bench: Bench) -> None:
    book("grade", graded(), station=bench.plant.station, by=bench.plant.bench, now=NOW)
    draft(bench, edition())
    with pytest.raises(Refused) as refused:
        put(bench, begins="2024-10-01", answers={})
    [question] = refused.value.mistakes
    assert (question.code, question.field) == ("begins_back", "begins")
    assert question.says == (
        "QM-DEMO, edition 2, would begin on 2024-10-01, in the past: 1 sample from then on keeps its grade, others "
        "would be read by it. Is that day meant?"
    )
    assert put(bench, begins="2025-06-01", answers={}).operations


def test_an_edition_of_the_app_may_be_withdrawn_too(bench: Bench) -> None:
    withdraw(bench, "1", "2024-09-30")
    assert rule_set_for("", "pinto", date(2024, 10, 1), "QM", rules_of(bench.plant.station)).id == "CA-BEANS"


def test_another_stations_editions_are_its_own(bench: Bench) -> None:
    draft(bench, edition())
    put(bench)
    assert RuleEdition.objects.count() == 1
    assert [each.edition for each in rules_of("ST") if each.id == "QM-DEMO"] == ["1"]


def test_an_own_set_beside_another_one_of_the_same_class_is_asked_about(bench: Bench) -> None:
    draft(bench, edition("1", id="QM-SEED"))
    words = {"rule_set": "QM-SEED", "edition": "1", "begins": "2025-01-01"}
    asked = {"station": bench.plant.station, "by": bench.plant.records, "now": NOW, "reason": "for seed"}
    with pytest.raises(Refused) as refused:
        book("put rules in force", words, **asked)
    [question] = refused.value.mistakes
    assert question.code == "graded_twice"
    assert "QM-DEMO will grade Demo beans, navy, black and pinto in the same time" in question.says
    assert book("put rules in force", words, answers={"graded_twice": "seed has its own"}, **asked).operations


def test_the_same_key_puts_it_in_force_once(bench: Bench) -> None:
    draft(bench, edition())
    first = put(bench, key="k").operations
    assert put(bench, key="k").operations == first
    assert RuleEdition.objects.count() == 1
