"""`manage.py verify`, and what all commands share."""

import pytest
from django.db import connection

from hilum.plugins import Difference, hookimpl
from hilum.plugins.host import Host
from inventory.management.commands import verify as command
from inventory.models import Entry, Operation, Stock, triggers
from tests.inventory.management.asking import ask
from tests.make import cleaned, house, received

pytestmark = pytest.mark.django_db


def test_clean_books_verify_with_their_counts() -> None:
    plant = house()
    cleaned(plant, received(plant), "798", "741.2")
    answer = ask("verify", "--json")
    assert answer.status == 0
    assert answer.json == {
        "operations": Operation.objects.count(),
        "entries": Entry.objects.count(),
        "differences": [],
        "chain": "whole",
    }
    assert "no differences; the chain is whole" in ask("verify").out


def test_a_changed_stock_is_named_and_answers_no() -> None:
    plant = house()
    lot = received(plant)
    Stock.objects.update(mg=799_000_000)
    answer = ask("verify", "--json")
    assert answer.status == 1
    assert answer.json["differences"] == [f"{lot} at F-1: stock says 799.0 kg, its entries 800.0."]


def test_an_edited_act_breaks_the_chain_and_answers_no() -> None:
    plant = house()
    received(plant)
    with triggers.lifted(connection):
        Operation.objects.update(reason="another")
        Operation.objects.update(hash="0" * 64)
    answer = ask("verify", "--json")
    assert answer.status == 1
    assert answer.json["chain"].startswith("broken at receive #1")


class Finding:
    """A plugin whose records do not agree."""

    @hookimpl
    def check_records(self, station: str) -> list[Difference]:
        return [Difference("dish", "T01", "Four dishes were planted and three are kept.")]


def test_what_a_plugin_finds_in_its_records_counts(monkeypatch: pytest.MonkeyPatch) -> None:
    house()
    monkeypatch.setattr(command, "the_host", lambda: Host([("seed tests", Finding)]))
    answer = ask("verify", "--json")
    assert answer.status == 1
    assert answer.json["differences"] == ["T01: Four dishes were planted and three are kept."]


def test_without_a_station_it_says_what_to_do() -> None:
    answer = ask("verify")
    assert (answer.status, answer.out) == (2, "")
    assert "No station is set up here." in answer.err


def test_among_several_stations_one_must_be_named() -> None:
    house("AA"), house("BB")
    assert "There are several stations here. Say --station AA or BB." in ask("verify").err
    assert "'CC' is no station here. Say --station AA or BB." in ask("verify", "--station", "CC").err
    assert ask("verify", "--station", "aa").status == 0
