"""`manage.py draft`, and the acts that book a draft."""

import pytest

from inventory.models import Operation, RunDraft
from inventory.queries.verifying import verify
from tests.inventory.management.asking import ask
from tests.make import House, house, kg_left, received

pytestmark = pytest.mark.django_db
LINE = ("--by", "line-st")


@pytest.fixture
def plant() -> House:
    made = house()
    received(made, "1130")
    return made


def started() -> None:
    words = ("number=R14", "feed_lot=24-0001-5", "machines=air-screen", "feed=1130")
    assert ask("draft", "start", *words, *LINE).status == 0
    filled = ask("draft", "fill", "number=R14", "throughs=67", "outs.1.mass=1041", "at=2024-10-16", *LINE)
    assert filled.out == "R14 of 24-0001-5: machines air-screen, feed 1130, at 2024-10-16, throughs 67, lot 1 1041.\n"


def test_a_run_is_filled_by_words_and_nothing_is_booked_before_it_is_asked_for(plant: House) -> None:
    started()
    assert [draft["run"] for draft in ask("draft", "--json").json] == ["R14"]
    assert not Operation.objects.filter(kind="clean").exists()
    no = ask("book", "book draft", "number=R14", *LINE)
    assert (no.status, "22.0 kg of 1,130.0 are missing (1.95 %, allowed 1.0)" in no.out) == (1, True)


def test_a_draft_is_booked_and_left_open_with_its_reason(plant: House) -> None:
    started()
    parked = ask("book", "park", "draft", "number=R14", "--reason", "a tote is looked for", *LINE)
    assert (parked.status, parked.out.splitlines()[0]) == (0, "Booked clean R14 of 2024-10-16 (#2).")
    assert ask("book", "late addition", "run=R14", "taken_off.throughs=17.5", "at=2024-10-17", *LINE).status == 0
    assert ask("draft").out == "No run is being filled.\n"
    assert verify(plant.station).is_whole


def test_a_draft_that_is_thrown_away_leaves_its_number_free(plant: House) -> None:
    started()
    assert ask("draft", "discard", "number=R14", *LINE).out == "The draft is thrown away.\n"
    assert not RunDraft.objects.exists()
    started()


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("fill", "number=R99", "throughs=1"), "No run 'R99' is being filled."),
        (("fill", "number=R14", "throughs=-1"), "-1.0 kg is less than nothing"),
        (("fill", "number=R14", "dust=1"), "A run has no field 'dust'."),
        (("fill", "number=R14", "throughs.1=1"), "A run has no field 'throughs'."),
        (("fill", "number=R14", "outs=1"), "outs.1.mass=741.2"),
        (("fill", "number=R14", "outs.0.mass=1"), "A run has no field '0'."),
        (("start", "feed_lot=24-0001-5"), "Machines is missing."),
        (("start", "number=R14", "feed_lot=24-0001-5", "machines=gravity"), "R14 is taken by another run."),
        (("discard",), "No run '' is being filled."),
    ],
)
def test_what_cannot_be_filled_in_is_a_sentence_and_changes_nothing(
    plant: House, words: tuple[str, ...], says: str
) -> None:
    started()
    before = RunDraft.objects.get().typed
    answer = ask("draft", *words, *LINE)
    assert (answer.status, answer.out) == (2, "")
    assert says in answer.err
    assert RunDraft.objects.get().typed == before


def test_only_the_line_fills_runs(plant: House) -> None:
    answer = ask("draft", "start", "feed_lot=24-0001-5", "machines=gravity", "--by", "bench-st")
    assert (answer.status, RunDraft.objects.exists()) == (2, False)
    assert "bench may not clean a lot" in answer.err
    assert kg_left(received(plant, "1", plot="ST24-N-1-2")) == 1
