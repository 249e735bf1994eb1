"""The bench's table of refusals through actions and command: nothing is saved by half, and the words are the same."""

import io
import json

import pytest

from inventory.importing.acts import book
from inventory.models import Operation
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Level, Refused
from tests.grading.booking import command
from tests.grading.refusals import REFUSALS, graded, of_test
from tests.grading.ruling import draft, edition
from tests.grading.station import NOW, Bench, station
from tests.refusals import Case
from tests.test_refusals import flat

pytestmark = pytest.mark.django_db
IN_THE_BOOKS = 4  # receive, sample, grade, test


@pytest.fixture
def bench() -> Bench:
    bench = station()
    bench.lots("24-0016-5", plot="QM24-P-1-1")
    for verb, words in (("grade", graded()), ("germination", of_test())):
        book(verb, words, station=bench.plant.station, by=bench.plant.bench, now=NOW)
    draft(bench, edition())
    return bench


@pytest.mark.parametrize("case", REFUSALS, ids=str)
def test_the_action_refuses_and_saves_nothing(bench: Bench, case: Case) -> None:
    with pytest.raises(Refused) as refusal:
        book(case.verb, case.words, station=bench.plant.station, by=bench.plant.people[case.by], now=NOW)
    assert case.says in str(refusal.value)
    assert case.code in [mistake.code for mistake in refusal.value.mistakes]
    assert (Level.ERROR not in {mistake.level for mistake in refusal.value.mistakes}) == case.is_question
    assert Operation.objects.count() == IN_THE_BOOKS
    assert verify(bench.plant.station).is_whole


@pytest.mark.parametrize("case", REFUSALS, ids=str)
def test_the_command_says_the_same_with_its_exit_status(bench: Bench, case: Case) -> None:
    status, out, err = command(case.verb, *flat(case.words), by=f"{case.by}-qm")
    assert status == (1 if case.is_question else 2)
    assert case.says in (out if case.is_question else err)
    assert "Traceback" not in err
    assert Operation.objects.count() == IN_THE_BOOKS


@pytest.mark.parametrize("case", [case for case in REFUSALS if case.is_question], ids=str)
def test_a_question_says_how_it_is_answered_and_goes_through_with_a_reason(
    bench: Bench, case: Case, monkeypatch: pytest.MonkeyPatch
) -> None:
    by, text = f"{case.by}-qm", json.dumps(case.words)
    monkeypatch.setattr("sys.stdin", io.StringIO(text))
    status, out, _err = command(case.verb, "-", by=by, json=True)
    [question] = json.loads(out)["questions"]
    assert (status, question["code"]) == (1, case.code)
    assert question["answer"] == f'if it is right: --answer {case.code}="why"'
    monkeypatch.setattr("sys.stdin", io.StringIO(text))
    assert command(case.verb, "-", by=by, answer=[f"{case.code}=weighed twice"])[0] == 0
    assert Operation.objects.count() > IN_THE_BOOKS


def test_no_two_cases_have_one_name() -> None:
    assert len({case.name for case in REFUSALS}) == len(REFUSALS)
