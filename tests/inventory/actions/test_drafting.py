"""A run is filled outside the ledger and booked as any other run."""

import threading
from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection

from inventory.actions.drafting import (
    Filling,
    RunStart,
    book_draft,
    discard_draft,
    fill_run,
    park_draft,
    start_run,
)
from inventory.actions.reversing import reverse
from inventory.models import Operation, RunDraft, RunRecord
from inventory.queries.drafts import open_drafts
from inventory.queries.runs import open_runs, run_balance
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from tests.make import NOW, House, house, kg_left, received

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    made = house()
    received(made, "1130")
    return made


def started(plant: House, **more: Any) -> RunDraft:
    start = RunStart(**{"feed_lot": "24-0001-5", "machines": "air-screen", "number": "R14", "feed": "1130.0", **more})
    return start_run(start, station=plant.station, by=plant.line, now=NOW)


def filled(plant: House, **more: Any) -> RunDraft:
    return fill_run("R14", Filling(**more), station=plant.station, by=plant.line, now=NOW)


def full(plant: House, throughs: str = "56.0") -> None:
    """A draft in which everything was filled in."""
    started(plant, is_cleaned_out=True)
    filled(plant, spouts={"scalpings": "12.0", "throughs": throughs, "liftings": "16,5 kg"})
    filled(plant, outs={1: {"mass": "1041.0", "lot": "24-0015"}}, words={"at": "2024-10-16", "settings": "air at 6"})


def test_nothing_is_in_the_ledger_before_it_is_booked(plant: House) -> None:
    full(plant)
    assert [draft.number for draft in open_drafts(plant.station)] == ["R14"]
    assert RunDraft.objects.get().typed["spouts"]["liftings"] == "16,5 kg"
    assert Operation.objects.count() == 1


def test_booking_goes_by_the_words_that_were_filled_in(plant: House) -> None:
    full(plant)
    booked = book_draft("r14", station=plant.station, by=plant.line, now=NOW)
    assert [(lot.number[:7], kg_left(lot)) for lot in booked.lots] == [("24-0015", 1041)]
    balance = run_balance(plant.station, "R14")
    assert (balance.unaccounted_mg, balance.is_cleaned_out) == (4_500_000, True)
    assert "16,5 kg" in booked.operations[0].content
    assert RunDraft.objects.get().booked == booked.operations[0]
    assert not open_drafts(plant.station)
    assert verify(plant.station).is_whole


def test_a_run_that_was_not_cleaned_out_for_is_marked(plant: House) -> None:
    started(plant)
    filled(plant, outs={1: {"mass": "1130"}})
    book_draft("R14", station=plant.station, by=plant.line, now=NOW)
    assert not RunRecord.objects.get().is_cleaned_out


def test_a_draft_that_misses_seed_can_be_parked_with_what_is_looked_for(plant: House) -> None:
    full(plant, throughs="38.5")
    with pytest.raises(Refused, match=r"22.0 kg of 1,130.0 are missing \(1.95 %, allowed 1.0\)"):
        book_draft("R14", station=plant.station, by=plant.line, now=NOW)
    assert [draft.number for draft in open_drafts(plant.station)] == ["R14"]
    with pytest.raises(Refused, match="Write why"):
        park_draft("R14", station=plant.station, by=plant.line, reason=" ", now=NOW)
    booked = park_draft("R14", station=plant.station, by=plant.line, reason="a tote is looked for", now=NOW)
    assert booked.operations[0].reason == "a tote is looked for"
    assert [run.number for run in open_runs(plant.station)] == ["R14"]


def test_the_same_key_books_a_draft_once(plant: House) -> None:
    full(plant)
    first = book_draft("R14", station=plant.station, by=plant.line, key="k", now=NOW)
    assert book_draft("R14", station=plant.station, by=plant.line, key="k", now=NOW) == first
    with pytest.raises(Refused, match=r"R14 is booked. Add what was found later"):
        book_draft("R14", station=plant.station, by=plant.line, now=NOW)


@pytest.mark.parametrize("change", [fill_run, discard_draft])
def test_what_is_booked_is_not_filled_nor_thrown_away(plant: House, change: Callable[..., Any]) -> None:
    full(plant)
    book_draft("R14", station=plant.station, by=plant.line, now=NOW)
    more = {"filling": Filling(spouts={"stones": "1"})} if change is fill_run else {}
    with pytest.raises(Refused, match="R14 is booked"):
        change("R14", **more, station=plant.station, by=plant.line)


def test_a_draft_can_be_thrown_away_and_its_number_used_again(plant: House) -> None:
    full(plant)
    discard_draft("R14", station=plant.station, by=plant.line)
    assert started(plant).typed["spouts"] == {}
    assert Operation.objects.count() == 1


def test_a_number_is_free_again_once_its_run_was_taken_back(plant: House) -> None:
    full(plant)
    booked = book_draft("R14", station=plant.station, by=plant.line, now=NOW)
    with pytest.raises(Refused, match="R14 is taken by another run"):
        started(plant)
    reverse(booked.operations[0], station=plant.station, by=plant.records, reason="wrong bin", now=NOW)
    full(plant)
    book_draft("R14", station=plant.station, by=plant.line, now=NOW)


def test_without_a_number_it_takes_the_next(plant: House) -> None:
    assert [started(plant, number="").number for _ in range(2)] == ["R01", "R02"]


def test_an_empty_text_clears_a_field(plant: House) -> None:
    started(plant)
    filled(plant, spouts={"stones": "1.2", "lights": "3"})
    assert filled(plant, spouts={"stones": " "}).typed["spouts"] == {"lights": "3"}


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ({"spouts": {"lights": "-1"}}, "less than nothing"),
        ({"spouts": {"lights": "1,234"}}, "can be 1.234 or 1,234"),
        ({"spouts": {"lights": float("nan")}}, "cannot be read"),
        ({"spouts": {"left hand": "1"}}, "No spout is called 'left hand'"),
        ({"outs": {1: {"mass": "many"}}}, "many"),
        ({"outs": {1: {"colour": "white"}}}, "A run has no field 'colour'"),
        ({"outs": {"x": {"mass": "1"}}}, "A run has no field 'x'"),
        ({"words": {"feed": "-3"}}, "less than nothing"),
        ({"words": {"booked": "7"}}, "A run has no field 'booked'"),
    ],
)
def test_a_slip_is_said_where_it_is_typed_and_nothing_of_it_is_kept(
    plant: House, words: dict[str, Any], says: str
) -> None:
    before = started(plant).typed
    with pytest.raises(Refused, match=says):
        filled(plant, **words)
    assert RunDraft.objects.get().typed == before


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ({"feed_lot": "24-0001-6"}, "does not check"),
        ({"feed_lot": ""}, "Feed lot is missing"),
        ({"machines": "lawn mower"}, "No machine is called"),
        ({"feed": "1,234"}, "can be 1.234 or 1,234"),
        ({"number": "R" * 21}, "21 signs; 20 fit"),
    ],
)
def test_a_start_that_cannot_be_read_is_refused(plant: House, words: dict[str, Any], says: str) -> None:
    with pytest.raises(Refused, match=says):
        started(plant, **words)
    assert not RunDraft.objects.exists()


def test_only_the_line_starts_runs(plant: House) -> None:
    start = RunStart(feed_lot="24-0001-5", machines="gravity")
    with pytest.raises(Refused, match="may not clean a lot"):
        start_run(start, station=plant.station, by=plant.bench)


def test_an_unknown_draft_is_named(plant: House) -> None:
    with pytest.raises(Refused, match="No run 'R9' is being filled"):
        book_draft("R9", station=plant.station, by=plant.line)


@pytest.mark.django_db(transaction=True)
def test_two_people_filling_at_once_do_not_lose_each_others_spouts() -> None:
    plant = house()
    received(plant, "1130")
    started(plant)
    together, failures = threading.Barrier(2), list[Exception]()

    def fill(streams: tuple[str, ...]) -> None:
        try:
            together.wait()
            for stream in streams:
                fill_run("R14", Filling(spouts={stream: "1.5"}), station=plant.station, by=plant.line, now=NOW)
        except Exception as failure:
            failures.append(failure)
        finally:
            connection.close()

    people = [threading.Thread(target=fill, args=(streams,)) for streams in _HALVES]
    for person in people:
        person.start()
    for person in people:
        person.join()
    assert not failures
    assert set(RunDraft.objects.get().typed["spouts"]) == {*_HALVES[0], *_HALVES[1]}


_HALVES = (("scalpings", "throughs", "liftings"), ("lights", "middlings", "stones"))
