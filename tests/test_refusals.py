"""The same table of refusals through every door: nothing is saved by half, and the words are the same."""

import io
import json
from collections.abc import Mapping
from typing import Any

import pytest
from django.core.management import call_command

from inventory.actions.acting import Booked
from inventory.importing.acts import book
from inventory.models import Operation
from inventory.queries.booked import booked_facts
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Level, Refused
from tests.inventory.actions.floor import Floor, everything, floor
from tests.make import NOW, house
from tests.refusals import NOTED, REFUSALS, Case

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> Floor:
    return floor(house())


def act(plant: Floor, verb: str, words: Mapping[str, Any], by: str, **asked: Any) -> Booked:
    return book(verb, words, station=plant.house.station, by=plant.house.people[by], now=NOW, **asked)


def do_before(plant: Floor, case: Case) -> None:
    if case.before:
        verb, words = case.before
        act(plant, verb, words, "records", **case.asked)


def flat(words: Mapping[str, Any], at: str = "") -> list[str]:
    """Write an object as `field=value` words."""
    said: list[str] = []
    for name, value in words.items():
        if isinstance(value, list):
            said += flat({str(index): item for index, item in enumerate(value, 1)}, f"{at}{name}.")
        elif isinstance(value, dict):
            said += flat(value, f"{at}{name}.")
        elif value is not None:
            said.append(f"{at}{name}={value}")
    return said


def command(case: Case, *words: str, **more: Any) -> tuple[int, str, str]:
    out, err = io.StringIO(), io.StringIO()
    status = 0
    try:
        call_command("book", case.verb, *words, by=f"{case.by}-st", stdout=out, stderr=err, **case.asked, **more)
    except SystemExit as end:
        status = int(str(end.code))
    return status, out.getvalue(), err.getvalue()


@pytest.mark.parametrize("case", REFUSALS, ids=str)
def test_the_action_refuses_and_saves_nothing(plant: Floor, case: Case) -> None:
    do_before(plant, case)
    before = (everything(plant.house), Operation.objects.count())
    with pytest.raises(Refused) as refusal:
        act(plant, case.verb, case.words, case.by, **case.asked)
    assert case.says in str(refusal.value)
    assert case.code in [mistake.code for mistake in refusal.value.mistakes]
    levels = {mistake.level for mistake in refusal.value.mistakes}
    assert (Level.ERROR not in levels) == case.is_question
    assert (everything(plant.house), Operation.objects.count()) == before
    assert verify(plant.house.station).is_whole


@pytest.mark.parametrize("case", REFUSALS, ids=str)
def test_the_command_says_the_same_with_its_exit_status(plant: Floor, case: Case) -> None:
    do_before(plant, case)
    before = (everything(plant.house), Operation.objects.count())
    status, out, err = command(case, *flat(case.words))
    assert status == (1 if case.is_question else 2)
    assert case.says in (out if case.is_question else err)
    assert "Traceback" not in err
    assert (everything(plant.house), Operation.objects.count()) == before


@pytest.mark.parametrize("case", [case for case in REFUSALS if case.is_question], ids=str)
def test_the_command_lists_questions_with_their_code_as_json(
    plant: Floor, case: Case, monkeypatch: pytest.MonkeyPatch
) -> None:
    do_before(plant, case)
    monkeypatch.setattr("sys.stdin", io.StringIO(json.dumps(case.words)))
    status, out, _err = command(case, "-", json=True)
    assert status == 1
    assert case.code in [question["code"] for question in json.loads(out)["questions"]]


@pytest.mark.parametrize("case", NOTED, ids=str)
def test_what_is_read_with_certainty_goes_through_with_a_note(plant: Floor, case: Case) -> None:
    booked = act(plant, case.verb, case.words, case.by)
    assert any(case.says in note for note in booked_facts(booked.operations)["notes"])
    assert verify(plant.house.station).is_whole


def test_no_two_cases_have_one_name() -> None:
    names = [case.name for case in (*REFUSALS, *NOTED)]
    assert len(names) == len(set(names))
