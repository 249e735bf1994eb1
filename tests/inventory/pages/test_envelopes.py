"""Envelopes of a sowing: one a plot, in the order in which the field is walked."""

import pytest
from django.test import Client

from inventory.actions.sowing import Sowing, sow_all
from inventory.models import Plot
from inventory.rules.label_codes import LabelKind, label_code
from tests.inventory.papers.reading import pages
from tests.make import NOW, House, house, received

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    return house()


def plots(plant: House, line: str, positions: dict[str, tuple[int, int]]) -> None:
    """Plots of a trial by code, each with its rep and position."""
    old = Plot.objects.get(code=f"ST24-{line}-1")
    for code, (rep, position) in positions.items():
        Plot.objects.create(
            station=plant.station, site=old.site, code=code, season=2025, line=old.line, trial="T", rep=rep,
            position=position,
        )  # fmt: skip


def test_envelopes_of_two_lots_packed_at_once_come_in_planting_order(client: Client, plant: House) -> None:
    first, second = received(plant, "8"), received(plant, "9", plot="ST24-N-2-1")
    plots(plant, "N-1", {"T25-102": (1, 2), "T25-201": (2, 1)})
    plots(plant, "N-2", {"T25-101": (1, 1), "T25-202": (2, 2)})
    sowings = [
        Sowing(lot=first.number, plots=["T25-102", "T25-201"], parts=["12.34", "12.3"], unit="g", at="2025-05-20"),
        Sowing(lot=second.number, plots=["T25-101", "T25-202"], parts=["15", "15"], unit="g", at="2025-05-20"),
    ]
    booked = sow_all(sowings, station=plant.station, by=plant.breeder, key="pack", now=NOW)
    client.force_login(plant.people["breeder"])
    number = booked.operations[1].seq
    labels = pages(client.get(f"/print/envelopes/{number}.pdf").content)
    assert [page.text.split()[0] for page in labels] == ["T25-101", "T25-102", "T25-201", "T25-202"]
    for words in ("2 of 4", "N-1", f"from {first.number}", "12.3 g, 20 May 2025"):
        assert words in labels[1].text, labels[1].text
    assert labels[1].codes() == [("Code128", label_code(LabelKind.PLOT, Plot.objects.get(code="T25-102").pk))]
    assert f"/print/envelopes/{number}.pdf" in client.get(f"/booked/{number}/").content.decode()


def test_an_act_that_sowed_nothing_has_no_envelopes(client: Client, plant: House) -> None:
    received(plant)
    client.force_login(plant.people["breeder"])
    assert client.get("/print/envelopes/1.pdf").status_code == 404
