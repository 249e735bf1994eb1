"""Plugins that may say no before an act is written, and those that hear of it afterwards."""

from collections.abc import Sequence

import pytest

from hilum.plugins import ActAhead, ActDone, Moved, Veto
from hilum.plugins.host import the_host
from inventory.actions.moving import Move, move
from inventory.actions.reversing import reverse
from inventory.actions.telling_plugins import tell_plugins
from inventory.models import Operation, Station, ToldPlugin
from inventory.rules.mistakes import Refused
from tests.inventory.lamp import lamp
from tests.make import NOW, House, house, received

pytestmark = pytest.mark.django_db


def moved(plant: House, lot: str, to: str = "A-01") -> Operation:
    words = Move(lot=lot, to=to, at="2025-05-30")
    return move(words, station=plant.station, by=plant.line, reason="room", now=NOW).operations[0]


def test_a_plugin_is_shown_what_is_about_to_be_written() -> None:
    plant = house()
    lot, seen = received(plant), list[ActAhead]()
    with lamp(veto=lambda acts, station: seen.extend(acts) or ()):
        moved(plant, lot.number)
    assert seen == [
        ActAhead(
            "move", "line-st", "2025-05-30T17:00:00+00:00", "room", (lot.number,),
            (Moved(-800_000_000, lot.number, "F-1"), Moved(800_000_000, lot.number, "A-01")),
        )
    ]  # fmt: skip


def test_its_no_is_a_refusal_that_names_it_and_nothing_is_written() -> None:
    plant = house()
    lot = received(plant)
    before = Operation.objects.count()
    no = Veto("A-01 is being fumigated. Use another place.")
    stopped = pytest.raises(Refused, match=r"A-01 is being fumigated\. .*The plugin lamp says no")
    with lamp(veto=lambda acts: [no]), stopped:
        moved(plant, lot.number)
    assert Operation.objects.count() == before


def test_what_it_did_not_answer_is_not_written(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(the_host(), "_raising", False)
    plant = house()
    lot = received(plant)
    before = Operation.objects.count()
    with lamp(veto=lambda acts: 1 / 0), pytest.raises(Refused) as stopped:
        moved(plant, lot.number)
    assert [one.code for one in stopped.value.mistakes] == ["plugin_failed"]
    assert "manage.py plugins disable lamp" in str(stopped.value)
    assert Operation.objects.count() == before


def test_acts_are_told_once_in_their_order() -> None:
    plant = house()
    lot = received(plant)
    act = moved(plant, lot.number)
    heard: list[ActDone] = []

    def hear(acts: Sequence[ActDone]) -> None:
        heard.extend(acts)

    with lamp(after_commit=hear):
        assert tell_plugins() == 2
        assert tell_plugins() == 0
        reverse(act, station=plant.station, by=plant.records, reason="wrong", now=NOW)
        assert tell_plugins() == 1
    assert [(one.number, one.kind, one.lots, one.reverses) for one in heard] == [
        (1, "receive", (lot.number,), None), (2, "move", (lot.number,), None), (3, "reverse", (lot.number,), 2),
    ]  # fmt: skip


def test_one_that_failed_hears_the_same_again_and_what_it_wrote_is_taken_back(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(the_host(), "_raising", False)
    plant = house()
    received(plant)
    tries: list[int] = []

    def after_commit(acts: Sequence[ActDone]) -> None:
        tries.append(len(acts))
        Station.objects.update(name="half done")
        if len(tries) == 1:
            raise RuntimeError("the lamp is off")

    with lamp(after_commit=after_commit):
        assert tell_plugins() == 0
        assert "the lamp is off" in ToldPlugin.objects.get().failed
        assert Station.objects.get().name == "A small station"
        assert tell_plugins() == 1
        assert tell_plugins() == 0
    assert tries == [1, 1]
    assert ToldPlugin.objects.get().failed == ""


def test_nobody_is_told_where_the_plugin_is_off() -> None:
    plant = house()
    received(plant)
    with lamp(after_commit=lambda acts: None, off_at=("ST",)):
        assert tell_plugins() == 0
