"""A closed grading put right: the wrong one taken back and the right one booked, as one, with a reason."""

import pytest

from grading.models import Portion
from grading.queries.grades import sample_answer
from inventory.importing.acts import book
from inventory.models import Operation
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from tests.grading.refusals import dishes, further, graded
from tests.grading.station import NOW, Bench, station

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench() -> Bench:
    made = station()
    made.lots("24-0016-5", plot="QM24-P-1-1")
    told(made, "grade", graded(number="G03", grader="bench-1"))
    return made


def told(bench: Bench, verb: str, words, *, by: str = "bench", **asked):
    return book(verb, words, station=bench.plant.station, by=bench.plant.people[by], now=NOW, **asked)


def right(corrects: str, **words):
    words = {**further(sample="", weights_g=dishes(splits="2.9"), sound_g="494.2"), **words}
    return {**{name: value for name, value in words.items() if value}, "corrects": corrects}


def test_the_right_one_counts_and_the_wrong_one_stays_visible(bench: Bench) -> None:
    wrong = Operation.objects.get(kind="grade")
    booked = told(bench, "correct grade", right(f"#{wrong.seq}"), reason="dish weighed with the dish on")
    assert [act.kind for act in booked.operations] == ["reverse", "grade"]
    wrong.refresh_from_db()
    assert wrong.reversed_by.reason == "dish weighed with the dish on"
    assert Portion.objects.count() == 2
    assert sample_answer(bench.plant.station, "G03")["factors"][0]["read_pct"] == "0.58"
    assert verify(bench.plant.station).is_whole


def test_the_grader_of_the_first_stays_unless_another_is_named(bench: Bench) -> None:
    wrong = Operation.objects.get(kind="grade")
    told(bench, "correct grade", right(f"#{wrong.seq}"), reason="read wrong")
    assert Portion.objects.latest("pk").grader == "bench-1"


@pytest.mark.parametrize(("corrects", "reason", "says"), [
    ("#99", "x", "is no grading that stands"), ("41 or 42", "x", "is no grading that stands"),
    ("#1", "x", "is no grading that stands"), ("#3", "", "reason"),
])  # fmt: skip
def test_it_is_not_done_without_its_grading_and_its_reason(bench: Bench, corrects: str, reason: str, says: str) -> None:
    with pytest.raises(Refused, match=says):
        told(bench, "correct grade", right(corrects), reason=reason)
    assert Operation.objects.filter(kind="reverse").count() == 0


def test_a_portion_that_cannot_be_booked_leaves_the_first_one_standing(bench: Bench) -> None:
    wrong = Operation.objects.get(kind="grade")
    with pytest.raises(Refused, match=r"make 516\.1 g"):
        told(bench, "correct grade", right(f"#{wrong.seq}", sound_g="510.0"), reason="read wrong")
    assert Portion.objects.filter(operation__reversed_by__isnull=True).count() == 1


def test_a_grading_is_not_put_right_twice(bench: Bench) -> None:
    wrong = Operation.objects.get(kind="grade")
    told(bench, "correct grade", right(f"#{wrong.seq}"), reason="read wrong")
    with pytest.raises(Refused, match="is no grading that stands"):
        told(bench, "correct grade", right(f"#{wrong.seq}"), reason="read wrong again")
