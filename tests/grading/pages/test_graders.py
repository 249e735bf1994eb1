"""Which graders disagree, from the re-grades in the books."""

import pytest
from django.test import Client

from tests.grading.regrading import again, first, laid_out
from tests.grading.station import Bench, station

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench() -> Bench:
    made = station()
    made.lots("24-0016-5")
    return made


def test_before_anything_was_graded_twice_it_says_what_to_do(client: Client, bench: Bench) -> None:
    client.force_login(bench.plant.bench)
    page = client.get("/bench/graders/").content.decode()
    assert "No re-grade by another grader is in the books yet." in page


def test_a_pair_is_drawn_listed_and_a_file(client: Client, bench: Bench) -> None:
    first(bench, "G01")
    laid_out(bench, "G01", "G02")
    again(bench, "G02")
    client.force_login(bench.plant.breeder)
    page = client.get("/bench/graders/").content.decode()
    assert "Two graders gave the same grade to 1 of 1 samples." in page
    assert "G01 / G02" in page
    assert 'class="reading"' in page
    assert "style=" not in page
    table = client.get("/bench/graders/?format=csv").content.decode()
    assert "bench-1" in table and "bench-2" in table
    picture = client.get("/bench/graders/?format=svg&factor=splits")
    assert picture.headers["Content-Type"].startswith("image/svg+xml")
    assert "Both sides run from 0 to" in picture.content.decode()
    assert client.get("/bench/graders/?format=svg&factor=none").headers["Content-Type"].startswith("text/html")
