"""The register of kept samples: where, until when, out with whom, discarded when."""

from datetime import date

import pytest
from django.test import Client

from grading.queries.filed import newest_filed, register
from inventory.importing.acts import book
from inventory.models import Operation
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from tests.grading.pages.bench import a_bench, a_pan, drawn, text
from tests.grading.station import NOW, Bench

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench() -> Bench:
    made = a_bench()
    drawn(made)
    return made


def told(bench: Bench, verb: str, by: str = "bench", **words: str) -> Operation:
    words = {"sample": "G01", **words}
    return book(verb, words, station=bench.plant.station, by=bench.plant.people[by], now=NOW).operations[0]


def kept(bench: Bench, **words: str) -> Operation:
    return told(bench, "keep file sample", **{"place": "shelf 4", "at": "2024-10-11", **words})


def test_it_is_kept_for_a_year_unless_another_day_is_named(bench: Bench) -> None:
    kept(bench, state="uncleaned")
    row = register(bench.plant.station)[0]
    assert (row.place, row.until, row.state) == ("shelf 4", date(2025, 10, 11), "uncleaned")
    kept(bench, until="2026-06-30", at="2024-10-12")
    assert register(bench.plant.station)[0].until == date(2026, 6, 30)
    assert verify(bench.plant.station).is_whole


def test_it_is_out_with_somebody_until_it_is_put_back(bench: Bench) -> None:
    kept(bench)
    told(bench, "take file sample out", who="bench-2", at="2024-11-01")
    assert register(bench.plant.station)[0].who == "bench-2"
    kept(bench, at="2024-11-02")
    assert register(bench.plant.station)[0].event == "kept"


def test_what_was_discarded_leaves_the_register_and_is_not_kept_again(bench: Bench) -> None:
    kept(bench)
    told(bench, "discard file sample", at="2025-10-12")
    assert register(bench.plant.station) == []
    with pytest.raises(Refused, match="G01 was discarded"):
        kept(bench, at="2025-10-13")


def test_an_act_that_was_taken_back_counts_no_more(bench: Bench) -> None:
    kept(bench)
    gone = told(bench, "discard file sample", at="2025-10-12")
    book(
        "reverse",
        {"act": f"#{gone.seq}"},
        station=bench.plant.station,
        by=bench.plant.intake,
        reason="wrong tin",
        now=NOW,
    )
    assert (
        next(iter(newest_filed(bench.plant.station, [register(bench.plant.station)[0].sample_id]).values())).event
        == "kept"
    )


@pytest.mark.parametrize(("verb", "words", "says"), [
    ("take file sample out", {}, "nobody wrote down where it was put"),
    ("discard file sample", {}, "nobody wrote down where it was put"),
    ("keep file sample", {"place": ""}, "Place"),
    ("keep file sample", {"place": "x" * 61}, "61"),
    ("keep file sample", {"place": "shelf 4", "until": "2023-01-01"}, "a day before"),
    ("keep file sample", {"place": "shelf 4", "until": "soon"}, "cannot be read as a date"),
    ("keep file sample", {"place": "shelf 4", "state": "dirty"}, "uncleaned or cleaned"),
    ("keep file sample", {"place": "shelf 4", "sample": "G77"}, "G77"),
])  # fmt: skip
def test_what_cannot_be_is_said(bench: Bench, verb: str, words: dict[str, str], says: str) -> None:
    with pytest.raises(Refused, match=says):
        told(bench, verb, **{"at": "2024-10-11", **words})


@pytest.mark.parametrize("verb", ["keep file sample", "take file sample out", "discard file sample"])
def test_nobody_without_the_right_does_it(bench: Bench, verb: str) -> None:
    with pytest.raises(Refused, match="may not"):
        told(bench, verb, by="stranger", **({"place": "shelf 4"} if "keep" in verb else {}))


def test_the_register_is_a_page_and_the_sample_tells_its_story(client: Client, bench: Bench) -> None:
    client.force_login(bench.plant.bench)
    assert "No kept sample is written down." in text(client.get("/bench/file-samples/"))
    kept(bench)
    told(bench, "take file sample out", who="bench-2", at="2024-11-01")
    said = text(client.get("/bench/file-samples/"))
    assert "G01 ◐ out, with bench-2" in said
    client.post("/bench/pan/G01/", a_pan())
    told_there = text(client.get("/bench/samples/G01/"))
    assert "11 Oct 2024: kept, shelf 4, until 11 Oct 2025" in told_there
    assert "1 Nov 2024: taken out, bench-2" in told_there
    assert "None" not in said
