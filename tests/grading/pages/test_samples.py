"""Samples: the queue by age, one sample's grade with what it stands on, and what a blind re-grade keeps hidden."""

import re

import pytest
from django.contrib.auth.models import User
from django.test import Client

from grading.models import Sample
from inventory.models import Membership, Operation
from tests.grading.pages.bench import LOT, a_bench, a_pan, drawn, text
from tests.grading.regrading import first, laid_out, told
from tests.grading.station import Bench

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench(client: Client) -> Bench:
    made = a_bench()
    client.force_login(made.plant.bench)
    return made


def test_the_queue_is_by_age_and_a_blind_sample_looks_like_all_others(client: Client, bench: Bench) -> None:
    first(bench, "G01", grader="bench-1")
    laid_out(bench, "G01", "G90")
    drawn(bench, "G02", at="2024-10-12")
    page = client.get("/bench/samples/").content.decode()
    queue = page[page.index("<tbody>") + len("<tbody>") : page.index("</tbody>")]
    assert queue.index("G90") < queue.index("G02")
    blind, plain = (re.sub("G90|G02|[0-9]+ days", "", row) for row in queue.split("</tr>")[:2])
    assert blind == plain
    assert LOT not in queue


def test_the_second_grader_sees_neither_lot_nor_first_result(client: Client, bench: Bench) -> None:
    first(bench, "G01", grader="bench-1")
    laid_out(bench, "G01", "G90")
    second = User.objects.create_user("bench-2")
    Membership.objects.create(station=bench.plant.station, user=second, role="bench")
    client.force_login(second)
    for address in ("/bench/samples/", "/bench/samples/G01/", "/bench/samples/G90/", "/bench/pan/G90/"):
        said = text(client.get(address))
        assert LOT not in said
        assert "No. 1" not in said
    assert (
        'value="494.7"'
        not in client.get(f"/bench/pan/G01/?corrects={Operation.objects.get(kind='grade').seq}").content.decode()
    )


def test_a_grading_goes_back_to_another_grader_by_pages_alone(client: Client, bench: Bench) -> None:
    plant = bench.plant
    told(bench, "regrade plan", {"one_in": "1"}, by="records")
    drawn(bench)
    client.post("/bench/pan/G01/", a_pan())
    client.force_login(plant.records)
    assert "1 file sample is due to go back" in text(client.get("/bench/samples/"))
    assert client.post("/do/bench-sample/", {"key": "lay", "blind": "yes"}).status_code == 302
    again = Sample.objects.get(is_blind=True)
    client.force_login(plant.bench)
    assert "may not pick" in text(client.post(f"/bench/pan/{again.number}/", a_pan(key="k2")))
    second = User.objects.create_user("bench-2")
    Membership.objects.create(station=plant.station, user=second, role="bench")
    client.force_login(second)
    assert again.number in text(client.get("/bench/pan/"))
    said = text(client.post(f"/bench/pan/{again.number}/", a_pan(key="k3"), follow=True))
    assert "No. 1." in said
    assert "0 file samples" not in text(client.get("/bench/samples/"))


def test_whoever_keeps_the_records_sees_it_all_the_while(client: Client, bench: Bench) -> None:
    first(bench, "G01", grader="bench-1")
    laid_out(bench, "G01", "G90")
    client.force_login(bench.plant.records)
    assert "No. 1" in text(client.get("/bench/samples/G01/"))


def test_a_sample_that_waits_leads_to_its_pan(client: Client, bench: Bench) -> None:
    drawn(bench)
    assert "waits for its pan" in text(client.get("/bench/samples/G01/"))


def test_a_grade_names_what_holds_it_back(client: Client, bench: Bench) -> None:
    drawn(bench)
    client.post("/bench/pan/G01/", a_pan(**{"weights_g.contrasting_classes": "3.10", "sound_g": "491.55"}))
    said = text(client.get("/bench/samples/G01/"))
    assert "No. 2: contrasting classes 0.62, limit 0.50" in said
    assert "over No. 1 by 0.12" in said


def test_its_numbers_download_as_a_table(client: Client, bench: Bench) -> None:
    drawn(bench)
    assert client.get("/bench/samples/G01/?format=csv").status_code == 404
    client.post("/bench/pan/G01/", a_pan())
    table = client.get("/bench/samples/G01/?format=csv").content.decode()
    assert "G01,total defects,1.12,% of the cleaned weight" in table
    picture = client.get("/bench/samples/G01/?format=svg")
    assert picture.headers["Content-Type"].startswith("image/svg+xml")
    assert "total defects" in picture.content.decode()


def test_two_samples_of_a_lot_are_laid_together(client: Client, bench: Bench) -> None:
    drawn(bench)
    drawn(bench, "G02")
    client.post("/bench/pan/G01/", a_pan())
    client.post("/bench/pan/G02/", a_pan(key="k2"))
    assert "All samples of the lot together (G02, G01)" in text(client.get("/bench/samples/G01/"))


def test_a_tag_and_its_label_are_found_from_the_scan_line(client: Client, bench: Bench) -> None:
    from inventory.rules.label_codes import LabelKind, label_code  # noqa: PLC0415 - beside its only use

    drawn(bench)
    code = label_code(LabelKind.SAMPLE, Sample.objects.get().pk)
    for typed in ("G01", "g01", code):
        assert client.get("/find", {"q": typed}).headers["Location"] == "/bench/pan/G01/"
    client.post("/bench/pan/G01/", a_pan())
    assert client.get("/find", {"q": code}).headers["Location"] == "/bench/samples/G01/"


def test_what_waits_stands_on_the_home_page_and_under_bench(client: Client, bench: Bench) -> None:
    drawn(bench)
    assert "Sample G01 waits for its pan" in text(client.get("/"))
    assert "Pan: work a sample" in text(client.get("/area/bench/"))


def test_a_sample_nobody_knows_is_a_page_not_found_with_a_sentence(client: Client, bench: Bench) -> None:
    assert client.get("/bench/samples/G77/").status_code == 404


def test_the_page_asks_the_books_no_more_with_many_samples_than_with_few(
    client: Client, bench: Bench, django_assert_max_num_queries
) -> None:
    for number in range(1, 12):
        drawn(bench, f"G{number:02d}")
        client.post(f"/bench/pan/G{number:02d}/", a_pan(key=f"k{number}"))
    with django_assert_max_num_queries(30):
        client.get("/bench/samples/G05/")
    with django_assert_max_num_queries(25):
        client.get("/bench/samples/")


def test_the_page_of_a_drawn_sample_leads_on_and_names_no_lot_in_its_sentence(client: Client, bench: Bench) -> None:
    sent = client.post("/do/bench-sample/", {"lot": LOT, "mass": "2", "unit": "kg", "number": "G07", "key": "d1"})
    shown = client.get(sent["Location"])
    assert "Sample G07 was drawn. Go on with G07" in text(shown)
    assert f"G07, {LOT}" not in text(client.get("/changes/?since=2020-01-01"))
