"""What the acts of the floor refuse, and that a refusal leaves nothing behind; that reversing brings all back."""

from typing import Any

import pytest

from inventory.actions.reversing import reverse
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from tests.inventory.actions.floor import Floor, acts_done, acts_of, everything, floor
from tests.make import NOW, house

pytestmark = pytest.mark.django_db

ACTS = ("move", "move bags", "tip", "dry", "treat", "blend", "split", "write off", "add")
MASS_FIELD = {"move": "mass", "tip": "mass", "dry": "weighed", "treat": "added", "write off": "mass", "blend": "out"}


@pytest.fixture
def plant() -> Floor:
    return floor(house())


def refused(plant: Floor, name: str, says: str, **words: Any) -> None:
    """Do an act that must be refused, and see that nothing of it was saved."""
    before = (everything(plant.house), acts_done(plant.house))
    with pytest.raises(Refused, match=says):
        acts_of(plant)[name](**words)
    assert (everything(plant.house), acts_done(plant.house)) == before


@pytest.mark.parametrize("name", ACTS)
def test_each_act_goes_through_and_reversing_it_brings_everything_back(plant: Floor, name: str) -> None:
    before = everything(plant.house)
    booked = acts_of(plant)[name]()
    assert sum(entry.mg for entry in booked.operations[0].entries.all()) == 0
    if name != "add":
        assert everything(plant.house) != before
    assert verify(plant.house.station).differences == []
    records = plant.house.records
    reverse(booked.operations[0], station=plant.house.station, by=records, reason="typed wrongly", now=NOW)
    assert everything(plant.house) == before
    assert verify(plant.house.station).is_whole


@pytest.mark.parametrize("name", ACTS)
def test_whoever_has_no_right_is_refused(plant: Floor, name: str) -> None:
    refused(plant, name, "may not", by=plant.house.stranger)
    refused(plant, name, "may not", by=plant.house.bench)


@pytest.mark.parametrize("name", ACTS)
@pytest.mark.parametrize(
    ("at", "says"),
    [
        ("2025-06-02", "2025-06-02"),
        ("yesterday-ish", "yesterday-ish"),
        ("2025-02-30", "2025-02-30"),
        ("03/04/2025", "can be"),
        (float("nan"), "nan"),
    ],
)
def test_a_date_that_cannot_be_is_refused(plant: Floor, name: str, at: Any, says: str) -> None:
    refused(plant, name, says, at=at)


@pytest.mark.parametrize("name", [name for name in ACTS if name not in ("blend", "add")])
@pytest.mark.parametrize(
    ("lot", "says"),
    [
        ("24-0999-3", "No lot 24-0999-3|does not check"),
        ("24-0001-6", "does not check"),
        ("", "missing"),
        ("the blue bin", "the blue bin"),
        (float("nan"), "nan"),
        pytest.param(10**5000, "e\\+5000", id="huge"),
    ],
)
def test_a_lot_that_is_not_in_the_books_is_refused(plant: Floor, name: str, lot: Any, says: str) -> None:
    refused(plant, name, says, lot=lot)


@pytest.mark.parametrize("name", MASS_FIELD)
@pytest.mark.parametrize(
    ("mass", "says"),
    [
        ("-5", "less than nothing|minus|-5"),
        ("1,234", "can be 1.234 or 1,234"),
        ("NaN", "cannot be read as a number"),
        (float("nan"), "cannot be read as a number"),
        (float("inf"), "cannot be read as a number"),
        ("about ten", "about ten"),
        ("12 stone", "stone"),
        ("99999999", "more than 100 t"),
    ],
)
def test_a_mass_that_no_scale_shows_is_refused(plant: Floor, name: str, mass: Any, says: str) -> None:
    refused(plant, name, says, **{MASS_FIELD[name]: mass})


@pytest.mark.parametrize("name", ["move", "tip", "dry", "write off", "blend"])
def test_a_mass_of_nothing_moves_nothing_and_is_refused(plant: Floor, name: str) -> None:
    refused(plant, name, "is 0: nothing would move", **{MASS_FIELD[name]: "0"})


@pytest.mark.parametrize(
    ("name", "words", "says"),
    [
        ("move", {"mass": "900.1"}, "900.0 kg left of 24-0001-5 at F-1; this asks 900.1. Take 900.0"),
        ("move", {"to": "F-1"}, "24-0001-5 stands at F-1 already"),
        ("move", {"to": "Z-9"}, "Z-9"),
        ("move", {"to": ""}, "To is missing"),
        ("move", {"place": "B-01"}, "Nothing of 24-0001-5 is at B-01; it stands at F-1. Take it from there."),
        ("move", {"bags": "1"}, "Bags are moved whole"),
        ("move", {"bags": "1", "mass": None}, "Bag 24-0001-5/1 is not in store"),
        ("move bags", {"bags": "1-9"}, "Bag 24-0003-1/6 is not in store"),
        ("move bags", {"bags": "one"}, "'one' names no bags"),
        ("move bags", {"bags": ""}, "is in bags \\(1-5\\)"),
        ("tip", {"into": "2"}, "Bag 24-0003-1/2 cannot be tipped into itself"),
        ("tip", {"into": "77"}, "Bag 24-0003-1/77 is not in store"),
        ("tip", {"into": ""}, "Into is missing"),
        ("tip", {"into": "4-5"}, "Tip one bag at a time"),
        ("tip", {"from_bag": "1-2"}, "Tip one bag at a time"),
        ("tip", {"from_bag": ""}, "is in bags"),
        ("tip", {"mass": "25.1"}, "25.0 kg left of"),
        ("dry", {"weighed": "900.5"}, "900.5 kg were weighed after drying, but only 900.0 kg were there before"),
        ("dry", {"weighed": "850"}, "900.0 kg dried from 17.4 to 15.2 % should weigh 876.65 kg; 850.0 were weighed"),
        ("dry", {"after": "17.4"}, "that is not drier"),
        ("dry", {"after": ""}, "After is missing"),
        ("dry", {"after": "0.152"}, "too dry for beans"),
        ("dry", {"after": "152"}, "cannot be"),
        ("dry", {"before": "-1"}, "cannot be"),
        ("treat", {"product": " "}, "Product is missing"),
        ("treat", {"dose": ""}, "Dose is missing"),
        ("treat", {"caution": ""}, "Caution is missing"),
        ("treat", {"product": "x" * 121}, "121 signs; 120 fit"),
        ("split", {"pieces": ()}, "Piece is missing"),
        ("split", {"mass": "500.5"}, "The pieces add up to 500.0 kg, but 500.5 kg were taken"),
        ("write off", {"reason": "  "}, "Write why: a write-off is kept with its reason"),
        ("write off", {"mass": "900.1"}, "900.0 kg left of"),
        ("add", {"run": "R99"}, "No run 'R99' is in the books"),
        ("add", {"run": ""}, "No run '' is in the books"),
        ("add", {"taken_off": {"lights": "8.1"}}, "8.1 kg are added to R1, but only 8.0 kg of it are missing"),
        ("add", {"taken_off": {"lights": "-3"}}, "less than nothing"),
        ("add", {"taken_off": {"lights": "0"}}, "nothing would move"),
        ("add", {"taken_off": {"clean": "3"}}, "No spout is called 'clean'"),
        ("add", {"taken_off": {}}, "Stream is missing"),
        ("add", {"at": "2024-10-07"}, "R1 ran on 2024-10-08; this addition is dated 2024-10-07"),
    ],
)
def test_words_that_do_not_fit_the_books_are_refused(plant: Floor, name: str, words: dict[str, Any], says: str) -> None:
    refused(plant, name, says, **words)
