"""What the bench prints: reports with every base and limit, tags that tell a grader nothing."""

import pytest
from django.http import HttpResponse
from django.test import Client

from grading.models import Sample
from grading.queries.grades import sample_answer
from inventory.models import Label
from inventory.queries.verifying import verify
from inventory.rules.label_codes import LabelKind, label_code
from tests.grading.booking import command
from tests.grading.refusals import graded
from tests.grading.station import Bench, station
from tests.inventory.papers.reading import pages, text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench() -> Bench:
    """A station with sample G01 of 24-0016-5, graded."""
    bench = station()
    bench.lots("24-0016-5", plot="QM24-P-1-1")
    words = [f"{name}={value}" for name, value in _flat(graded(number="G01", points="8"))]
    status, _out, err = command("grade", *words, by="bench-qm")
    assert status == 0, err
    return bench


def _flat(words: dict, head: str = "") -> list[tuple[str, str]]:
    found: list[tuple[str, str]] = []
    for name, value in words.items():
        found += _flat(value, f"{head}{name}.") if isinstance(value, dict) else [(f"{head}{name}", str(value))]
    return found


@pytest.fixture
def signed_in(client: Client, bench: Bench) -> Client:
    client.force_login(bench.plant.people["bench"])
    return client


def report(client: Client, **asked: str) -> HttpResponse:
    return client.get("/bench/papers/report.pdf", asked)


def tags(client: Client, samples: str) -> bytes:
    answer = client.post("/bench/papers/tags/", {"samples": samples})
    assert answer.status_code == 302, answer.content.decode()
    return client.get(answer["Location"]).content


@pytest.mark.parametrize(("size", "width", "height"), [("A4", 210, 297), ("Letter", 215.9, 279.4)])
def test_a_grade_report_is_given_on_both_sheets(signed_in: Client, size: str, width: float, height: float) -> None:
    answer = report(signed_in, sample="G01", size=size)
    assert answer["Content-Disposition"] == 'inline; filename="grade-report-g01.pdf"'
    for page in pages(answer.content, dpi=20):
        assert (page.width_mm, page.height_mm) == pytest.approx((width, height), abs=0.01)


def test_a_grade_report_says_all_that_stands_behind_the_grade(signed_in: Client, bench: Bench) -> None:
    answer = report(signed_in, sample="g01")
    said = text_of(answer.content)
    portion = Sample.objects.get(number="G01").portions.get()
    for words in (
        "Grade report G01", "lot 24-0016-5", "not an official certificate", "No. 1", f"Portion {portion.portion_g} g",
        "QM-DEMO, edition 1, table demo", "demo limits, from memory, not official", "8 of 8 points probed",
        "bench", "total defects", f"cleaned, {portion.portion_g} g", "below No. 1", "File sample kept at",
    ):  # fmt: skip
        assert words in said, words
    assert ("Code128", label_code(LabelKind.SAMPLE, portion.sample_id)) in pages(answer.content)[0].codes()


def test_a_report_gives_the_same_readings_as_the_answer(signed_in: Client, bench: Bench) -> None:
    said = text_of(report(signed_in, sample="G01").content)
    for factor in sample_answer(bench.plant.station, "G01")["factors"]:
        limits = " ".join(factor["limits"].values())
        assert f"{factor['words']} {factor['read_pct']} %" in said, factor
        assert limits in said, factor


def test_a_report_of_a_sample_that_is_not_graded_or_not_there_is_said(signed_in: Client, bench: Bench) -> None:
    command("bench-sample", "number=G02", "lot=24-0016-5", "mass=1", "points=8", "at=2024-10-10", by="bench-qm")
    assert "G02 is not graded yet" in report(signed_in, sample="G02").content.decode()
    answer = report(signed_in, sample="G77")
    assert answer.status_code == 404
    assert "is not a sample we know" in answer.content.decode()


@pytest.mark.outside("zxing-cpp, another reader of ISO/IEC 15417 Code 128")
def test_a_tag_reads_back_as_its_sample_and_names_no_lot(signed_in: Client, bench: Bench) -> None:
    (page,) = pages(tags(signed_in, "G01"))
    code = label_code(LabelKind.SAMPLE, Sample.objects.get().pk)
    assert {text for _kind, text in page.codes()} == {code}
    assert (page.width_mm, page.height_mm) == pytest.approx((60, 30), abs=0.01)
    assert page.text.split() == ["G01", "pinto", "G01", "file", "sample"]


def test_a_tag_printed_again_says_copy_2_and_moves_no_seed(signed_in: Client, bench: Bench) -> None:
    assert "copy" not in text_of(tags(signed_in, "G01"))
    assert "copy 2" in text_of(tags(signed_in, "G01"))
    assert [(row.what, row.name, row.lot, row.copy) for row in Label.objects.order_by("pk")] == [
        ("sample", "G01", None, 1), ("sample", "G01", None, 2),
    ]  # fmt: skip
    assert verify(bench.plant.station).is_whole


def test_tags_of_no_sample_are_refused_in_a_sentence(signed_in: Client) -> None:
    for samples, says in (("", "Fill it in"), ("G77", "is not a sample we know")):
        answer = signed_in.post("/bench/papers/tags/", {"samples": samples})
        assert answer.status_code == 422
        assert says in answer.content.decode()
    assert not Label.objects.exists()


def test_the_page_lists_both_and_stands_under_bench(signed_in: Client) -> None:
    page = signed_in.get("/bench/papers/?sample=G01").content.decode()
    assert 'value="G01"' in page and "Report on Letter" in page and "Print tags" in page
    assert "/bench/papers/" in signed_in.get("/area/bench/").content.decode()
    assert "/bench/papers/" in signed_in.get("/print/").content.decode()


def test_a_scanned_tag_opens_its_sample_and_its_page_prints_both(signed_in: Client) -> None:
    code = label_code(LabelKind.SAMPLE, Sample.objects.get().pk)
    answer = signed_in.get(f"/s/{code}", follow=True)
    assert answer.redirect_chain[-1][0] == "/bench/samples/G01/"
    page = answer.content.decode()
    assert 'name="samples" value="G01"' in page and 'data-key="F4"' in page
    assert "/bench/papers/report.pdf?sample=G01" in page
