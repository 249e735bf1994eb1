"""The blend page: shares while it is laid out, lines that meet, what is foretold, and the act that asks why."""

from typing import Any

import pytest
from django.test import Client

from hilum.plugins import Panel
from hilum.plugins.host import Host
from inventory.models import Lot, Operation
from inventory.pages import blending
from inventory.queries.verifying import verify
from tests.hilum.plugins.test_host import fail, host, plugin
from tests.inventory.pages.test_line import text, value
from tests.make import House, bagged, house, received

pytestmark = pytest.mark.django_db
LOOK = "/line/blend/look"
TWO = {"parts.1.lot": "24-0001-5", "parts.2.lot": "24-0002-8", "unit": "kg"}


@pytest.fixture
def plant() -> House:
    made = house()
    received(made, "300")
    received(made, "100", plot="ST24-N-1-2")
    received(made, "50", plot="ST24-B-1-1")
    return made


@pytest.fixture
def line(client: Client, plant: House) -> Client:
    client.force_login(plant.line)
    return client


def foretelling(monkeypatch: pytest.MonkeyPatch, *loaders: Any) -> Host:
    made = host(*loaders)
    monkeypatch.setattr(blending, "the_host", lambda: made)
    return made


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({}, "Goes in: 400.0 kg"),
        ({}, "24-0001-5 N-1 navy 300.0 75.00 % 300.0"),
        ({}, "✓ All of N-1: the blend keeps its name."),
        ({"parts.1.loose": "100"}, "24-0001-5 N-1 navy 100.0 50.00 % 300.0"),
        ({"parts.1.loose": "220.46 lb"}, "100.0"),
        ({"parts.2.lot": "24-0003-1"}, "◐ Different lines meet (N-1, B-1): the blend keeps no line name"),
        ({"parts.2.lot": "24-0002-9"}, "✕ 24-0002-9 does not check"),
        ({"parts.2.bags": "left one"}, "names no bags"),
        ({"parts.1.place": "A-01"}, "24-0001-5 N-1 navy 0.0 0.00 % 0.0"),
        ({"parts.x.lot": "1", "parts.99999.lot": "2"}, "Goes in: 400.0 kg"),
    ],
)
def test_what_goes_in_is_told_with_its_shares(line: Client, typed: dict[str, str], says: str) -> None:
    assert says in text(line.get(LOOK, {**TWO, **typed}))


def test_bags_that_are_named_go_in_whole(line: Client, plant: House) -> None:
    bagged(plant, Lot.objects.get(number="24-0001-5"), count=4)
    assert "24-0001-5 N-1 navy 50.0 33.33 % 300.0" in text(line.get(LOOK, {**TWO, "parts.1.bags": "1-2"}))


def test_what_plugins_foretell_stands_beside_it_and_a_fault_of_one_stops_nothing(
    line: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[Any] = []

    def foretold(parts: Any, station: str) -> list[Panel]:
        asked.append((parts, station))
        return [Panel("Foretold", (("Germination", "93.5 %"),))]

    foretelling(monkeypatch, plugin(blend_forecast=foretold), plugin(blend_forecast=fail))
    said = text(line.get(LOOK, TWO))
    assert asked == [((("24-0001-5", 300_000_000), ("24-0002-8", 100_000_000)), "ST")]
    assert "Germination 93.5 %" in said
    assert "Not foretold" in said


def test_one_lot_alone_is_not_foretold(line: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    foretelling(monkeypatch, plugin(blend_forecast=lambda: [Panel("Foretold", ())]))
    assert "Foretold" not in text(line.get(LOOK, {"parts.1.lot": "24-0001-5"}))


def test_two_lines_meet_only_with_a_written_reason(line: Client, plant: House) -> None:
    sent = {**TWO, "parts.2.lot": "24-0003-1", "place": "A-01", "key": "k"}
    asked = line.post("/do/blend/", sent)
    assert asked.status_code == 422
    assert "These are two lines" in text(asked)
    assert value(asked, "parts.2.lot") == "24-0003-1"
    assert Operation.objects.count() == 3
    done = line.post("/do/blend/", {**sent, "answer.two_lines": "for the food bank"})
    assert done.status_code == 302
    assert Operation.objects.latest("seq").reason == "for the food bank"
    assert verify(plant.station).is_whole


def test_an_empty_page_asks_for_lots_and_shows_two_rows(line: Client) -> None:
    shown = line.get("/do/blend/?parts.2.lot=")
    assert "Scan the lots that go in, one after the other." in text(shown)
    assert 'name="parts.2.lot"' in shown.content.decode()
    assert "None" not in text(shown)


@pytest.mark.parametrize("many", [2, 12])
def test_more_lots_cost_no_more_queries(
    line: Client, plant: House, django_assert_max_num_queries: Any, many: int
) -> None:
    lots = [received(plant, "20", plot="ST24-N-2-1").number for _ in range(many)]
    typed = {f"parts.{row}.lot": lot for row, lot in enumerate(lots, 1)}
    with django_assert_max_num_queries(30):
        line.get("/do/blend/", typed)
