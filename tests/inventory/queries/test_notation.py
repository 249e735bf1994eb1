"""Pedigrees as the books have them."""

from fractions import Fraction

import pytest

from inventory.models import Cross, Line
from inventory.queries.notation import parentage_of
from inventory.rules.backcross import recurrent_share
from tests.make import House, house

pytestmark = pytest.mark.django_db
F = Fraction


@pytest.fixture
def plant() -> House:
    return house()


def line(plant: House, name: str, cross: Cross | None = None) -> Line:
    return Line.objects.create(station=plant.station, name=name, cross=cross)


def cross(plant: House, code: str, female: Line | Cross, male: Line | Cross) -> Cross:
    sides = {
        f"{side}_cross" if isinstance(parent, Cross) else side: parent
        for side, parent in (("female", female), ("male", male))
    }
    return Cross.objects.create(station=plant.station, code=code, **sides)


def test_a_line_goes_by_the_parents_of_its_cross_female_first(plant: House) -> None:
    found = parentage_of(line(plant, "N-9", cross(plant, "C1", line(plant, "Wren"), line(plant, "Pale"))))
    assert (found.text, found.parts, found.recurrent) == ("Wren/Pale", {"Wren": F(1, 2), "Pale": F(1, 2)}, "")


def test_crosses_of_crosses_are_numbered_in_the_order_they_were_made(plant: House) -> None:
    a, b, c, d, e = (line(plant, name) for name in "ABCDE")
    first = cross(plant, "C2", a, cross(plant, "C1", b, c))
    found = parentage_of(cross(plant, "C4", first, cross(plant, "C3", d, e)))
    assert found.text.replace("//", "/2/") == "A/2/B/C/3/D/E"
    assert (found.parts["A"], found.parts["B"], found.parts["E"]) == (F(1, 4), F(1, 8), F(1, 4))


@pytest.mark.outside("75, 87.5 and 93.75 % after one, two and three backcrosses: any breeding textbook, from memory")
@pytest.mark.parametrize("backcrosses", [1, 2, 3])
def test_backcrosses_name_the_recurrent_parent_and_its_part(plant: House, backcrosses: int) -> None:
    good, donor = line(plant, "A"), line(plant, "B")
    made = cross(plant, "BC0", good, donor)
    for index in range(backcrosses):
        made = cross(plant, f"BC{index + 1}", good, made)
    found = parentage_of(line(plant, "N-9", made))
    assert (found.text, found.recurrent, found.backcrosses) == (f"A*{backcrosses + 1}/B", "A", backcrosses)
    assert found.recurrent_share == recurrent_share(backcrosses) == 1 - F(1, 2 ** (backcrosses + 1))


def test_a_bred_parent_goes_by_its_own_name_and_a_merged_one_by_its_name_of_today(plant: House) -> None:
    bred = line(plant, "Bred", cross(plant, "C1", line(plant, "Old"), line(plant, "Older")))
    merged = line(plant, "Trial 7")
    Line.objects.filter(pk=merged.pk).update(merged_into=line(plant, "Seven"))
    assert parentage_of(cross(plant, "C2", bred, merged)).text == "Bred/Seven"


def test_a_line_without_a_cross_is_its_own_name(plant: House) -> None:
    assert parentage_of(line(plant, "Old")).parts == {"Old": F(1)}
