"""Backcross plans, what was grown of them, and parentage, as figures."""

from fractions import Fraction
from typing import Any

import pytest

from inventory.actions.crosses import NewCross, Pollinated, add_cross, log_pollinations
from inventory.actions.lines import NewLine, add_line
from inventory.models import Line
from inventory.queries.ancestry import pedigrees_of
from tests.grading.queries.figures.asking import asked, refused
from tests.make import NOW, House, house

F = Fraction


def test_a_plan_says_seeds_plants_and_what_came_back() -> None:
    answer = asked("backcross plan", genes="1", backcrosses="2", donor="B", recurrent="A")
    assert answer.says[0].startswith(
        "To bring one gene of B into A, sow: 5 seeds of BC1 (5 plants, 1/2 of them carrying)"
    )
    assert "11 seeds of BC2F2" in answer.says[0]
    assert answer.says[1] == (
        "After BC2F2 expect 87.50 % of the recurrent parent, and 52 cM of the donor around each gene, on each "
        "chromosome."
    )
    assert answer.says[2] == "Each step has its plants at least 95.0 times in 100, all of them 89.9 times."
    assert [step["recurrent_pct"] for step in answer.values["steps"]] == ["75", "87.5", "87.5"]
    assert "no markers" in answer.notes[0]


def test_recessive_genes_are_told_by_selfing_each_plant() -> None:
    assert (
        "self each plant that is kept and grow 11 of its seeds"
        in asked("backcross plan", genes_are="recessive").says[3]
    )
    assert "homozygous" in asked("backcross plan").says[3]


@pytest.mark.parametrize(
    ("words", "field", "says"),
    [
        ({"genes": "0"}, "genes", "Genes is 0"),
        ({"genes": "6"}, "genes", "up to 5"),
        ({"genes": "1.5"}, "genes", "whole number"),
        ({"backcrosses": "11"}, "backcrosses", "up to 10"),
        ({"chance_pct": "100"}, "chance_pct", "100 %"),
        ({"chance_pct": "NaN"}, "chance_pct", "cannot be read"),
        ({"wanted": "51"}, "wanted", "51"),
        ({"germination_pct": "0"}, "germination_pct", "0 %"),
        ({"survival_pct": "101"}, "survival_pct", "101 %"),
        ({"arm_cm": "-1"}, "arm_cm", "-1 cM"),
        ({"genes_are": "blended"}, "genes_are", "dominant or recessive"),
        ({"genes": "5", "germination_pct": "10", "survival_pct": "10"}, "genes", "fewer than 1 in 10,000"),
    ],
)
def test_a_plan_is_refused_at_its_field(words: dict[str, Any], field: str, says: str) -> None:
    [mistake] = refused("backcross plan", **words)
    assert mistake.field == field
    assert says in mistake.says


@pytest.fixture
def plant() -> House:
    return house()


def crossed(plant: House, code: str, female: str, male: str, seeds: int | None = None) -> None:
    how = {"station": plant.station, "by": plant.breeder, "now": NOW, "answers": {"parent_alike": "new"}}
    add_cross(NewCross(code=code, female=female, male=male), **how)
    if seeds is not None:
        log_pollinations([Pollinated(cross=code, buds=20, pods=10, seeds=seeds)], **how)


def bred(plant: House, name: str, cross: str) -> None:
    words = NewLine(name=name, market_class="navy", cross=cross)
    add_line(words, station=plant.station, by=plant.breeder, now=NOW)


@pytest.mark.django_db
def test_what_was_grown_is_held_against_the_plan(plant: House) -> None:
    crossed(plant, "X0", "N-1", "Donor", seeds=6)
    crossed(plant, "X1", "N-1", "X0", seeds=9)
    crossed(plant, "X2", "X1", "N-1", seeds=3)
    crossed(plant, "X3", "N-1", "X2")
    answer = asked("backcross grown", plant.station, grown="X3")
    assert answer.says == (
        "X3 goes back to N-1 3 times.",
        "BC1 (X1): 9 seeds taken, the plan asks for 5: enough. One plant or more with all genes had a chance of >99 %.",
        "BC2 (X2): 3 seeds taken, the plan asks for 5: 2 short. One plant or more with all genes had a chance of 88 %.",
        "BC3 (X3): no pollination is in the log; the plan asks for 5 seeds.",
    )
    assert [each["step"] for each in answer.values["grown"]] == ["F1", "BC1", "BC2", "BC3"]


@pytest.mark.django_db
def test_a_line_from_a_backcross_is_found_through_it(plant: House) -> None:
    crossed(plant, "X0", "N-1", "Donor", seeds=6)
    crossed(plant, "X1", "N-1", "X0", seeds=9)
    bred(plant, "N-9", "X1")
    assert asked("backcross grown", plant.station, grown="N-9").values["recurrent"] == "N-1"


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("name", "says"), [("N-1", "without a cross"), ("X0", "no parent was crossed back to"), ("N-77", "N-77")]
)
def test_what_was_never_crossed_back_is_refused(plant: House, name: str, says: str) -> None:
    crossed(plant, "X0", "N-1", "Donor")
    [mistake] = refused("backcross grown", plant.station, grown=name)
    assert (mistake.field, says in mistake.says) == ("grown", True)


@pytest.mark.django_db
def test_parentage_follows_pedigrees_through_the_books(plant: House) -> None:
    for code, female, male, name in (
        ("C1", "A", "B", "L1"), ("C2", "A", "C", "L3"), ("C3", "C", "D", "L4"), ("C4", "L1", "L3", "P"),
        ("C5", "L1", "L4", "Q"), ("C6", "P", "Q", "R"),
    ):  # fmt: skip
        crossed(plant, code, female, male)
        bred(plant, name, code)
    answer = asked("parentage", plant.station, lines="R, P, L1")
    found = {(pair["one"], pair["other"]): F(pair["f"]) for pair in answer.values["pairs"]}
    assert found == {("R", "P"): F(11, 16), ("R", "L1"): F(9, 16), ("P", "L1"): F(5, 8)}
    assert "68.75 in 100 of their genes are alike by descent" in answer.says[0]
    assert answer.working[0].formula == "1/2 × 1 + 1/2 × 3/8 = 11/16"
    assert "the parents of R: P, Q" in answer.working[0].basis
    assert answer.values["pedigrees"]["R"] == "P/Q"
    assert pedigrees_of(plant.station, [Line.objects.get(name="A")]) == {"A": None}


@pytest.mark.django_db
def test_founders_are_not_related(plant: House) -> None:
    answer = asked("parentage", plant.station, lines="N-1, N-2")
    assert answer.values["pairs"] == [{"one": "N-1", "other": "N-2", "f": "0/1"}]


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("lines", "field", "says"),
    [
        ("N-1", "lines", "Lines: 1 are named"),
        ("N-1, N-1", "lines", "one line"),
        ("N-1, Nowhere", "lines.2", "Nowhere"),
        (",".join(["N-1"] * 21), "lines", "Give 2 to 20"),
    ],
)
def test_parentage_is_refused_at_its_field(plant: House, lines: str, field: str, says: str) -> None:
    [mistake] = refused("parentage", plant.station, lines=lines)
    assert mistake.field == field
    assert says in mistake.says
