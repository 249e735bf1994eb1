"""What grading gives a lot's page to draw: posts, replicates, the size curve over its line, and the lot's uses."""

from decimal import Decimal

import pytest
from django.test import Client

from grading.actions.testing import book_germinations
from grading.queries.panels import panels_of_lot
from grading.queries.posts import distance_words
from hilum.plugins import Panel
from inventory.importing.acts import book
from tests.grading.station import NOW, Bench, benched, germinated, row_of, station, table

pytestmark = pytest.mark.django_db
SCREENS = ["5.95 mm=0", "5.56 mm=10", "5.16 mm=40", "4.76 mm=40", "pan=10"]


@pytest.fixture
def bench() -> Bench:
    made = station()
    made.lots("24-0016-5", "24-0017-9", "24-0018-7", "24-0023-0")
    return made


def panel(bench: Bench, lot: str, title: str) -> Panel:
    return next(one for one in panels_of_lot(bench.plant.station, lot) if one.title == title)


def sieve(bench: Bench, lot: str, *screens: str, at: str = "2024-10-04") -> None:
    pairs = [dict(zip(("screen", "pct"), each.split("="), strict=True)) for each in screens or SCREENS]
    words = {"lot": lot, "screens": pairs, "shape": "slotted", "at": at}
    book(
        "size curve", words, by=bench.plant.bench, station=bench.plant.station, now=NOW, answers={"screens_unlike": "x"}
    )


@pytest.mark.parametrize(
    ("reading", "says"),
    [("0.62", "over No. 1 by 0.12"), ("0.34", "0.16 below No. 1"), ("0.50", "at the limit of No. 1")],
)
def test_a_reading_says_how_far_it_is_from_its_limit(reading: str, says: str) -> None:
    assert distance_words(Decimal(reading), Decimal("0.50"), "No. 1") == says


def test_every_factor_stands_beside_the_best_grades_limit_with_its_chance(bench: Bench) -> None:
    bench.bench(benched(row_of(table("samples"), "G04")))
    grade = panel(bench, "24-0018-7", "Grade")
    found = {one.name: one for one in grade.posts}
    held = found["contrasting classes"]
    assert (held.reading, held.limit, held.words) == (Decimal("0.62"), Decimal("0.50"), "over No. 1 by 0.12, 18 in 100")
    assert held.low is not None and held.high is not None and held.low < held.reading < held.high
    assert found["splits"].limit is None
    assert grade.says.startswith("No. 2 (QM-DEMO); contrasting classes 0.62, limit 0.50; 18 in 100 that the lot is")
    assert [(use.use, use.answer) for use in grade.uses] == [("ship", "yes")]


def test_a_lot_that_nobody_graded_or_tested_has_no_result(bench: Bench) -> None:
    assert [(use.use, use.answer, use.why) for use in panel(bench, "24-0016-5", "Grade").uses] == [
        ("ship", "no result", "no sample was graded")
    ]
    assert panel(bench, "24-0016-5", "Germination").uses[0].why == "no germination test"


def test_a_germination_below_the_threshold_bars_sowing_and_shows_its_replicates(bench: Bench) -> None:
    row = next(row for row in table("tests") if row["lot"] == "24-0023-0")
    book_germinations([germinated(row)], station=bench.plant.station, by=bench.plant.bench, now=NOW)
    tested = panel(bench, "24-0023-0", "Germination")
    assert [(use.answer, use.why) for use in tested.uses] == [("no", "germination 79 % is under 85 %")]
    [post] = tested.posts
    assert (post.reading, post.limit, post.is_least) == (Decimal(79), Decimal(85), True)
    assert post.words.startswith("6 below 85, ")
    assert tested.replicates is not None
    assert sum(tested.replicates.values) / len(tested.replicates.values) == pytest.approx(79, abs=0.5)
    assert tested.replicates.allowed is not None


def test_a_size_curve_lies_over_what_earlier_lots_of_its_line_had(bench: Bench) -> None:
    sieve(bench, "24-0016-5", "5.95 mm=0", "5.56 mm=12", "5.16 mm=40", "4.76 mm=38", "pan=10")
    sieve(bench, "24-0017-9", at="2024-10-05")
    curve = panel(bench, "24-0017-9", "Size").curve
    assert curve is not None
    assert curve.points == tuple(
        (Decimal(mm), Decimal(passed))
        for mm, passed in (("4.7600", "10"), ("5.1600", "50"), ("5.5600", "90"), ("5.9500", "100"))
    )
    assert curve.before[2] == (Decimal("5.5600"), Decimal(88), Decimal(88))
    assert curve.before_words == "1 earlier lot of N-1"
    assert panel(bench, "24-0017-9", "Size").says == "Half of the seed by weight passes 5.16 mm. Span 0.16."
    assert panel(bench, "24-0016-5", "Size").curve.before == ()


def test_whether_a_lot_looks_like_its_line_is_a_piece_of_its_own(client: Client, bench: Bench) -> None:
    sieve(bench, "24-0016-5")
    assert panel(bench, "24-0016-5", "Like its line?").later == "/bench/looks/24-0016-5/"
    client.force_login(bench.plant.bench)
    page = client.get("/bench/looks/24-0016-5/").content.decode()
    piece = client.get("/bench/looks/24-0016-5/", headers={"HX-Request": "true"}).content.decode()
    assert "too few to say whether it looks like N-1" in piece
    assert "<html" in page
    assert "<html" not in piece
    assert "Nothing of 24-0018-7 was measured" in client.get("/bench/looks/24-0018-7/").content.decode()
