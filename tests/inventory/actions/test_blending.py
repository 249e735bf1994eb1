"""Blending lots, and splitting one."""

from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from inventory.actions.acting import Booked
from inventory.actions.blending import Blend, Part, blend
from inventory.actions.reversing import reverse
from inventory.actions.splitting import Piece, Split, split
from inventory.actions.treating import Treating, treat
from inventory.models import Link, Lot, Operation, Standing, Stock
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from inventory.rules.nodes import NodeKind, node
from tests.make import NOW, House, bagged, house, kg_left, received

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    return house()


def blended(plant: House, *parts: Part, **more: Any) -> Booked:
    answers = more.pop("answers", None)
    asked = Blend(**{"parts": parts, "place": "A-01", "at": "2025-05-05", **more})
    return blend(asked, station=plant.station, by=plant.line, answers=answers, now=NOW)


def shares(lot: Lot) -> dict[int, Fraction]:
    """Share of each parent lot."""
    links = Link.objects.filter(child=node(NodeKind.LOT, lot.pk))
    return {link.parent: Fraction(link.weight, link.total) for link in links}


def test_shares_are_exact_fractions_of_what_went_in(plant: House) -> None:
    old = bagged(plant, received(plant, "434.3"), count=17, part_bag="9.0", spilled="0.3")
    new = received(plant, "1632.5", at="2024-10-14")
    parts = (Part(lot=old.number, bags="1-18"), Part(lot=new.number, loose="600.0"))
    lot = blended(plant, *parts, spilled="0.5", out="1,033.5").lots[0]
    assert kg_left(lot) == Decimal("1033.5")
    assert (kg_left(old), kg_left(new)) == (0, Decimal("1032.5"))
    assert shares(lot) == {
        node(NodeKind.LOT, old.pk): Fraction(217, 517),
        node(NodeKind.LOT, new.pk): Fraction(300, 517),
    }
    standing = Standing.objects.get(lot=lot)
    assert (str(standing.line), standing.crop_year, standing.opening_mg) == ("N-1", 2024, 1_033_500_000)
    assert verify(plant.station).is_whole


def test_bags_and_loose_seed_of_a_lot_go_in_together(plant: House) -> None:
    one, two = bagged(plant, received(plant, "70"), count=2), received(plant, "30", at="2024-09-25")
    lot = blended(plant, Part(lot=one.number, bags="2", loose="15"), Part(lot=two.number)).lots[0]
    assert kg_left(lot) == 70
    assert sorted(Stock.objects.filter(lot=one, mg__gt=0).values_list("bag_no", "mg")) == [
        (0, 5_000_000),
        (1, 25_000_000),
    ]


def test_two_lines_need_a_written_reason_and_lose_the_line_name(plant: House) -> None:
    one, two = received(plant, "100"), received(plant, "50", plot="ST24-N-2-1")
    parts = (Part(lot=one.number), Part(lot=two.number))
    says = r"These are two lines \(N-1, N-2\). A blend loses the line name. Write why, or stop."
    with pytest.raises(Refused, match=says):
        blended(plant, *parts)
    booked = blended(plant, *parts, answers={"two_lines": "bird feed"})
    standing = Standing.objects.get(lot=booked.lots[0])
    assert (standing.line, str(standing.market_class)) == (None, "navy")
    assert booked.operations[0].reason == "bird feed"


def test_two_classes_lose_the_class_too(plant: House) -> None:
    one, two = received(plant, "100"), received(plant, "50", plot="ST24-B-1-1")
    parts = (Part(lot=one.number), Part(lot=two.number))
    with pytest.raises(Refused, match="loses the line name and the class"):
        blended(plant, *parts)
    lot = blended(plant, *parts, answers={"two_lines": "bird feed"}).lots[0]
    assert Standing.objects.get(lot=lot).market_class is None


def test_a_blank_reason_is_no_reason(plant: House) -> None:
    one, two = received(plant, "100"), received(plant, "50", plot="ST24-N-2-1")
    with pytest.raises(Refused, match="two lines"):
        blended(plant, Part(lot=one.number), Part(lot=two.number), answers={"two_lines": "  "})


def test_treated_seed_is_asked_about_and_marks_the_blend(plant: House) -> None:
    one, two = received(plant, "100"), received(plant, "50", at="2024-09-25")
    coat = Treating(lot=one.number, product="Coat A", dose="3 mL per kg", caution="Not for food.")
    treat(coat, station=plant.station, by=plant.line, now=NOW)
    parts = (Part(lot=one.number), Part(lot=two.number))
    with pytest.raises(Refused, match=r"24-0001-5 is treated: all 150.0 kg would be treated"):
        blended(plant, *parts, at=None)
    lot = blended(plant, *parts, at=None, answers={"treated_in": "all goes to the field"}).lots[0]
    assert Standing.objects.get(lot=lot).treated
    assert verify(plant.station).differences == []


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ({"out": "151"}, "151.0 kg came out, but only 150.0 kg went in"),
        ({"out": "149.8", "spilled": "0.3"}, "149.8 kg came out and 0.3 kg spilled|0.3 spilled"),
        ({"out": "149.6"}, r"0.4 kg of 150.0 are missing \(0.27 %, allowed 0.2\)"),
        ({"spilled": "150"}, "150.0 kg spilled leaves nothing"),
        ({"spilled": "1e3 kg"}, "1e3"),
        ({"out": "1,234"}, "can be 1.234 or 1,234"),
        ({"place": "nowhere"}, "nowhere"),
        ({"lot": "24-0001-5"}, "24-0001-5 is already in the books"),
    ],
)
def test_a_blend_that_does_not_add_up_is_refused(plant: House, words: dict[str, str], says: str) -> None:
    one, two = received(plant, "100"), received(plant, "50", at="2024-09-25")
    with pytest.raises(Refused, match=says):
        blended(plant, Part(lot=one.number), Part(lot=two.number), **words)
    assert Operation.objects.count() == 2


def test_a_lot_is_not_blended_with_itself_nor_alone(plant: House) -> None:
    one = received(plant, "100")
    with pytest.raises(Refused, match="24-0001-5 is named twice"):
        blended(plant, Part(lot=one.number, loose="10"), Part(lot="240001", loose="20"))
    with pytest.raises(Refused, match="at least two lots; only 24-0001-5 is named"):
        blended(plant, Part(lot=one.number))
    with pytest.raises(Refused, match="at least two lots; none is named"):
        blended(plant)


def test_a_blend_is_undone_before_its_parents(plant: House) -> None:
    one, two = received(plant, "100"), received(plant, "50", at="2024-09-25")
    booked = blended(plant, Part(lot=one.number), Part(lot=two.number))
    with pytest.raises(Refused, match="was used by blend"):
        reverse(Operation.objects.order_by("seq")[0], station=plant.station, by=plant.intake, reason="tare", now=NOW)
    reverse(booked.operations[0], station=plant.station, by=plant.intake, reason="wrong bin", now=NOW)
    assert (kg_left(one), kg_left(two), shares(booked.lots[0])) == (100, 50, {})


def test_pieces_of_a_split_keep_what_the_lot_was_and_the_rest_stays(plant: House) -> None:
    lot = received(plant, "100")
    pieces = (Piece(mass="40", place="A-01"), Piece(mass="25", place="B-01", lot="24-0900"))
    made = split(Split(lot=lot.number, pieces=pieces, mass="65"), station=plant.station, by=plant.intake, now=NOW).lots
    assert (kg_left(lot), [kg_left(piece) for piece in made]) == (35, [40, 25])
    assert made[1].number.startswith("24-0900-")
    assert all(shares(piece) == {node(NodeKind.LOT, lot.pk): 1} for piece in made)
    assert {str(Standing.objects.get(lot=piece).line) for piece in made} == {"N-1"}
    assert verify(plant.station).is_whole


def test_bags_that_are_split_must_be_used_up(plant: House) -> None:
    lot = bagged(plant, received(plant, "75"), count=3)
    pieces = (Piece(mass="30", place="A-01"), Piece(mass="19", place="A-01"))
    with pytest.raises(Refused, match=r"The pieces add up to 49.0 kg, but 50.0 kg were taken"):
        split(Split(lot=lot.number, pieces=pieces, bags="1-2"), station=plant.station, by=plant.line, now=NOW)


def test_two_pieces_do_not_get_one_number(plant: House) -> None:
    lot = received(plant, "100")
    pieces = (Piece(mass="40", place="A-01", lot="24-0900"), Piece(mass="25", place="B-01", lot="24-0900"))
    with pytest.raises(Refused, match=r"24-0900-. is already in the books"):
        split(Split(lot=lot.number, pieces=pieces), station=plant.station, by=plant.line, now=NOW)
    assert Operation.objects.count() == 1
