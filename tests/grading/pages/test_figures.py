"""Figures on pages: every one asked by its example, refusals at their fields, and what is hidden."""

from dataclasses import replace

import pytest
from django.test import Client
from django.urls import reverse

from grading.pages import figures
from grading.pages.figures import _example, slug
from grading.queries.figures import FIGURES, Answer
from inventory.importing.acts import book
from tests.grading.pages.bench import LOT, a_bench, drawn, text
from tests.grading.station import NOW, Bench

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench() -> Bench:
    return a_bench()


@pytest.fixture
def client(client: Client, bench: Bench) -> Client:
    client.force_login(bench.plant.records)
    return client


def test_every_figure_has_a_page_with_a_form_and_an_example(client: Client) -> None:
    listed = client.get("/bench/figures/").content.decode()
    for name in FIGURES:
        address = reverse("figure", args=[slug(name)])
        assert address in listed
        assert client.get(address).status_code == 200, name


def test_an_example_is_answered_with_its_working(client: Client) -> None:
    asked = f"/bench/figures/cleaning/?{_example(FIGURES['cleaning'])}"
    said = text(client.get(asked))
    assert "How it was worked out" in said


def test_every_example_is_answered_or_says_what_the_books_lack(client: Client) -> None:
    for name, figure in FIGURES.items():
        asked = f"{reverse('figure', args=[slug(name)])}?{_example(figure)}"
        answer = client.get(asked)
        expected = (200, 422) if figure.reads_books or figure.knows_own_rules else (200,)
        assert answer.status_code in expected, (name, text(answer)[:600])


def test_a_table_is_taken_along(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    told = Answer({}, ("Two machines.",), (), table=(("machine", "took"), ("air-screen", "4.1")))
    listed = replace(FIGURES["cleaning"], work_out=lambda _asked, _station: told)
    monkeypatch.setattr(figures, "figure_of", lambda _name: listed)
    asked = f"/bench/figures/cleaning/?{_example(FIGURES['cleaning'])}"
    assert "&amp;format=csv" in client.get(asked).content.decode()
    taken = client.get(f"{asked}&format=csv")
    assert taken.content.decode().splitlines() == ["machine,took", "air-screen,4.1"]


def test_what_cannot_be_worked_out_stands_at_its_field(client: Client) -> None:
    answer = client.get("/bench/figures/blend-plan/?lots.1.lot=24-0099-9&grade=No. 1")
    assert answer.status_code == 422
    assert "24-0099-9" in text(answer)


def test_one_more_row_asks_nothing_yet(client: Client) -> None:
    page = client.get("/bench/figures/blend-plan/?lots.1.lot=24-0016-5&more=lots").content.decode()
    assert 'name="lots.2.lot"' in page
    assert "Nothing was saved yet" not in page


def test_a_lot_whose_grade_waits_for_a_blind_re_grade_is_told_to_no_grader(client: Client, bench: Bench) -> None:
    plant = bench.plant
    drawn(bench)
    words = {"sample": "G01", "portion_g": "500", "weights_g": {"splits": "4"}, "sound_g": "496", "grader": "bench-st"}
    book("grade", words, station=plant.station, by=plant.records, now=NOW)
    kept = {"number": "G02", "file_sample_of": "G01", "blind": True, "at": "2024-11-01"}
    book("bench sample", kept, station=plant.station, by=plant.records, now=NOW)
    client.force_login(plant.line)
    answer = client.get(f"/bench/figures/blend-plan/?lots.1.lot={LOT}&grade=No. 1")
    assert "is hidden from graders" in text(answer)


def test_the_page_of_a_blend_leads_to_its_plan_and_recleaning_to_its_figure(client: Client) -> None:
    assert f"/bench/figures/blend-plan/?lots.1.lot={LOT}" in client.get(
        f"/do/blend/?parts.1.lot={LOT}&parts.2.lot="
    ).content.decode()  # fmt: skip
    assert "/bench/figures/cleaning/" in client.get("/bench/recleaning/").content.decode()


def test_a_figure_nobody_knows_names_the_nearest(client: Client) -> None:
    answer = client.get("/bench/figures/blend-plann/")
    assert answer.status_code == 404
    assert "blend plan" in text(answer)
