"""Which seed shows in which."""

import pytest

from inventory.rules.runs import MACHINES
from inventory.rules.shades import shade, shows_in
from inventory.rules.spouts import spouts_of


@pytest.mark.parametrize(
    ("left_over", "lot", "does"),
    [
        ("black", "navy", True), ("navy", "black", False), ("black", "Black", False), ("pinto", "Great Northern", True),
        ("black beans", "pinto bean", True), ("spotted wonder", "navy", True), ("spotted wonder", "black", False),
    ],
)  # fmt: skip
def test_darker_seed_shows_in_a_lighter_lot(left_over: str, lot: str, *, does: bool) -> None:
    assert shows_in(left_over, lot) is does


def test_a_class_that_is_not_known_stands_in_the_middle() -> None:
    assert shade("navy") < shade("spotted wonder") < shade("black")


def test_every_machine_of_the_line_has_its_spouts() -> None:
    assert all(len(spouts_of([machine])) < 7 for machine in MACHINES)
    assert spouts_of(["gravity", "air-screen"]) == (
        "scalpings", "throughs", "liftings", "lights", "middlings", "stones",
    )  # fmt: skip
    assert len(spouts_of([])) == 7
