"""Lines: every name that one ever had still finds it."""

import pytest

from inventory.actions.crosses import NewCross, add_cross
from inventory.actions.lines import (
    NewLine,
    add_classes,
    add_line,
    add_lines,
    merge_lines,
    rename_line,
    say_cross_of_line,
)
from inventory.actions.reversing import reverse
from inventory.models import Line, LineName, MarketClass, Operation, Plot, Standing
from inventory.queries.finding import find_line
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from tests.make import NOW, House, house, received

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    return house()


def test_a_line_is_found_by_its_name_and_its_synonyms(plant):
    add_line(
        NewLine(name="N-3", market_class="Navy", synonyms=("Early Three",)),
        station=plant.station,
        by=plant.breeder,
        now=NOW,
    )
    line = find_line(plant.station, "Early Three")[0]
    assert (line.name, line.market_class.name) == ("N-3", "navy")
    assert Operation.objects.get().kind == "origin"
    assert verify(plant.station).is_whole


def test_a_class_that_is_there_already_changes_nothing(plant):
    booked = add_classes(["pinto", "navy"], station=plant.station, by=plant.breeder, now=NOW)
    assert len(booked.operations) == 1
    assert MarketClass.objects.filter(name="pinto").exists()


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ({"name": ""}, "Name is missing. Give it, for example QN-2104."),
        ({"name": "N-1"}, "Line N-1 is in the books already. Use another name, or that one."),
        ({"name": "N-3", "synonyms": ("N-2",)}, "Line N-2 is in the books already. Use another name, or that one."),
        ({"name": "n 1"}, "n 1 reads like N-1, which is in the books. Is it another line? Then say why."),
        ({"name": "N-3", "market_class": "navi"}, "'navi' is not a market class we know. Did you mean navy?"),
        ({"name": "N-3", "cross": "Q1"}, "'Q1' is not a cross we know. Check the tag, or enter the cross first."),
        ({"name": "N" * 81}, f"Name '{'N' * 60}…' has 81 signs; up to 80 fit. Shorten it."),
        ({"name": "N-3", "at": "2030-01-01"}, "The day 2030-01-01 has not come yet: today is 2025-06-01."),
    ],
)  # fmt: skip
def test_a_line_that_cannot_stand_is_refused_and_nothing_is_saved(plant, asked, says):
    with pytest.raises(Refused) as refusal:
        add_lines([NewLine(name="N-9"), NewLine(**asked)], station=plant.station, by=plant.breeder, now=NOW)
    assert says in str(refusal.value)
    assert not Operation.objects.exists()
    assert Line.objects.count() == 3


def test_mistakes_of_all_lines_are_said_at_once(plant):
    with pytest.raises(Refused) as refusal:
        add_lines([NewLine(name="N-1"), NewLine(name="N-2")], station=plant.station, by=plant.breeder, now=NOW)
    assert len(refusal.value.mistakes) == 2


def test_a_renamed_line_is_found_by_both_names(plant):
    lot = received(plant)
    rename_line("N-1", "Marshlight", station=plant.station, by=plant.breeder, reason="released", now=NOW)
    assert {find_line(plant.station, name)[0].name for name in ("N-1", "Marshlight")} == {"Marshlight"}
    assert str(Standing.objects.get(lot=lot).line) == "Marshlight"
    assert verify(plant.station).is_whole


def test_an_old_name_may_be_taken_up_again(plant):
    rename_line("N-1", "Marshlight", station=plant.station, by=plant.breeder, reason="released", now=NOW)
    rename_line("Marshlight", "N-1", station=plant.station, by=plant.breeder, reason="withdrawn", now=NOW)
    assert find_line(plant.station, "Marshlight")[0].name == "N-1"


@pytest.mark.parametrize(
    ("to", "reason", "says"),
    [
        ("N-2", "x", "Line N-2 is in the books already. Use another name, or that one."),
        ("N2", "x", "N2 reads like N-2"),
        ("N-1", "x", "The line is called N-1 already. Write the new name."),
        ("N-7", " ", "Write why: a new name is kept with its reason."),
    ],
)
def test_a_name_that_would_confuse_is_refused(plant, to, reason, says):
    with pytest.raises(Refused) as refusal:
        rename_line("N-1", to, station=plant.station, by=plant.breeder, reason=reason, now=NOW)
    assert says in str(refusal.value)
    assert Line.objects.filter(name="N-1").exists()
    assert LineName.objects.count() == 3
    assert not Operation.objects.exists()


def test_a_renaming_is_not_reversed_but_renamed_back(plant):
    booked = rename_line("N-1", "N-7", station=plant.station, by=plant.breeder, reason="x", now=NOW)
    with pytest.raises(Refused, match="give the line its old name instead"):
        reverse(booked.operations[0], station=plant.station, by=plant.intake, reason="x", now=NOW)


def test_merged_lines_are_one_with_all_names_plots_and_lots(plant):
    lot = received(plant)
    booked = merge_lines("N-1", "N-2", station=plant.station, by=plant.breeder, reason="entered twice", now=NOW)
    assert find_line(plant.station, "N-1")[0].name == "N-2"
    assert Plot.objects.filter(line__name="N-2").count() == 4
    assert str(Standing.objects.get(lot=lot).line) == "N-2"
    assert [operation.kind for operation in booked.operations] == ["rename", "reassign"]
    assert verify(plant.station).is_whole


def test_a_lot_that_went_over_goes_back_before_its_making_does(plant):
    lot = received(plant)
    making = Operation.objects.get(kind="receive")
    moved = merge_lines("N-1", "N-2", station=plant.station, by=plant.breeder, reason="twice", now=NOW).operations[1]
    with pytest.raises(Refused, match="used by reassign"):
        reverse(making, station=plant.station, by=plant.intake, reason="x", now=NOW)
    reverse(moved, station=plant.station, by=plant.intake, reason="x", now=NOW)
    assert str(Standing.objects.get(lot=lot).line) == "N-1"
    reverse(making, station=plant.station, by=plant.intake, reason="x", now=NOW)
    assert Standing.objects.get(lot=lot).made_by is None
    assert verify(plant.station).is_whole


def test_a_line_merged_on_is_found_by_its_first_name(plant):
    for one, other in (("N-1", "N-2"), ("N-2", "B-1")):
        merge_lines(one, other, station=plant.station, by=plant.breeder, reason="twice", now=NOW)
    assert find_line(plant.station, "N-1")[0].name == "B-1"


def test_a_line_cannot_descend_from_itself(plant):
    cross = NewCross(code="Q1", female="N-1", male="N-2")
    add_cross(cross, station=plant.station, by=plant.breeder, now=NOW)
    add_cross(NewCross(code="Q2", female="B-1", male="Q1"), station=plant.station, by=plant.breeder, now=NOW)
    with pytest.raises(Refused, match="N-1 is an ancestor of Q2, so it cannot descend from it"):
        say_cross_of_line("N-1", "Q2", station=plant.station, by=plant.breeder, reason="old book", now=NOW)
    assert Line.objects.get(name="N-1").cross is None
    add_line(
        NewLine(name="N-8", cross="Q2"), station=plant.station, by=plant.breeder, now=NOW, answers={"name_alike": "new"}
    )
    with pytest.raises(Refused, match="N-2 is an ancestor of N-8"):
        merge_lines("N-8", "N-2", station=plant.station, by=plant.breeder, reason="x", now=NOW)
    with pytest.raises(Refused, match="N-8 is one line already"):
        merge_lines("N-8", "N-8", station=plant.station, by=plant.breeder, reason="x", now=NOW)


def test_a_cross_found_out_later_is_kept(plant):
    add_cross(NewCross(code="Q1", female="N-1", male="N-2"), station=plant.station, by=plant.breeder, now=NOW)
    say_cross_of_line("B-1", "Q1", station=plant.station, by=plant.breeder, reason="old book", now=NOW)
    assert str(Line.objects.get(name="B-1").cross) == "Q1"


def test_only_breeder_and_records_enter_lines(plant):
    with pytest.raises(Refused, match="intake may not enter lines"):
        add_line(NewLine(name="N-3"), station=plant.station, by=plant.intake, now=NOW)
