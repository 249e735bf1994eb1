"""Grades by the Canadian tables and by the demo's: what a portion reads as, and what holds it back."""

from decimal import Decimal

import pytest

from grading.queries.shipped import shipped_rule_set
from grading.rules.outcome import outcome
from grading.rules.portion import Overlap, pooled
from inventory.rules.mistakes import Refused
from tests.grading.bench import portion

ALL_30 = "Extra No. 1 Canada; Canada No. 1 Select; No. 1 Canada; No. 2 Canada; No. 3 Canada; No. 4 Canada"
GOOD = {"colour": "good_natural", "uniform_size": "yes"}


def canada(text, **rest):
    return outcome(shipped_rule_set("CA-BEANS"), portion(text, **rest))


def demo(text, **rest):
    return outcome(shipped_rule_set("QM-DEMO"), portion(text, **rest))


def limiting(result):
    return [f"{entry.factor} {entry.read_pct} over {entry.limit}" for entry in result.limiting]


# Derived by hand from Canada Grain Regulations, Schedule 3, s. 1 and Tables 30 and 31; not published examples.
@pytest.mark.parametrize(
    ("text", "colour", "grades"),
    [
        pytest.param("Pea 1000: classes_that_blend 14", "good_natural", ALL_30, id="a whole-number limit passes 1.4"),
        pytest.param("Pea 1000: other_foreign_material 0.54", "good_natural", ALL_30, id="FM 0.054 reads 0.05"),
        pytest.param(
            "Pea 1000: damaged 5, splits 15.4",
            "reasonably_good",
            "Canada No. 1 Select; No. 1 Canada; No. 2 Canada; No. 3 Canada; No. 4 Canada",
            id="a total of 2.04 reads 2.0",
        ),
        pytest.param(
            "Cranberry 1000: damaged 10, splits 25",
            "reasonably_good",
            "No. 1 Canada; No. 1 Canada Select; No. 2 Canada; No. 3 Canada; No. 4 Canada",
            id="splits are judged only inside the total",
        ),
        pytest.param(
            "Pea 1000: other_foreign_material 0.5",
            "fairly_good",
            "Canada No. 1 Select; No. 2 Canada; No. 3 Canada; No. 4 Canada",
            id="grades are not a chain",
        ),
        pytest.param(
            "Pea 1000: other_foreign_material 0.6",
            "fairly_good",
            "No. 2 Canada; No. 3 Canada; No. 4 Canada",
            id="FM 0.06 misses Select too",
        ),
    ],
)
def test_it_lists_every_grade_that_a_portion_qualifies_for_in_listed_order(text, colour, grades):
    result = canada(text, judged={"colour": colour, "uniform_size": "yes"})
    assert "; ".join(result.qualifies_for) == grades
    assert result.grade == grades.split("; ")[0]


def test_a_portion_kept_from_two_better_grades_by_two_things_names_both():
    result = canada("Pea 1000: other_foreign_material 0.6", judged={"colour": "fairly_good", "uniform_size": "yes"})
    found = {entry.factor: (entry.kept_from, entry.limit, entry.grade) for entry in result.limiting}
    assert found == {
        "foreign_material": ("Canada No. 1 Select", "0.05", "No. 2 Canada"),
        "colour": ("No. 1 Canada", "reasonably_good", "No. 2 Canada"),
    }


@pytest.mark.parametrize("class_name", ["Pinto", "pinto", "PINTO BEANS", "great_northern", "Dark-Red Kidney"])
def test_a_class_is_found_in_the_table_it_falls_under(class_name):
    assert canada(f"{class_name} 500: splits 1").table.table == "Schedule 3, Table 32"


def test_the_class_is_added_to_the_printed_name_where_the_table_says_so():
    assert canada("pinto 500:", judged=GOOD).printed == "Extra No. 1 Canada Pinto"
    assert canada("navy 500:", judged=GOOD).printed == "Extra No. 1 Canada"


@pytest.mark.outside(
    "Off Grades of Grain and Grades of Screenings Order, C.R.C., c. 890, s. 3 and Schedule I item 6: beans have "
    "no tough range; damp is over 18.0 %"
)
@pytest.mark.parametrize(
    ("moisture", "grade"),
    [
        ("16.5", "Extra No. 1 Canada"),
        ("18.0", "Extra No. 1 Canada"),
        ("18.04", "Extra No. 1 Canada"),
        ("18.05", "Extra No. 1 Canada Damp"),
        ("18.1", "Extra No. 1 Canada Damp"),
    ],
)
def test_moisture_over_18_0_read_to_the_tenth_adds_the_word_damp(moisture, grade):
    result = canada("Pinto 500:", judged=GOOD, moisture_pct=Decimal(moisture))
    assert result.grade == grade
    assert result.qualifies_for[0] == "Extra No. 1 Canada"


def test_moisture_near_the_cut_off_asks_for_three_tests():
    near, far = (canada("Pinto 500:", moisture_pct=Decimal(moisture)).notes for moisture in ("18.5", "18.6"))
    assert any("test three times" in note for note in near)
    assert not any("test three times" in note for note in far)


@pytest.mark.outside(
    "Order, C.R.C., c. 890, s. 14: stones over 2.5 % are Sample Salvage; s. 15: 'Sample' and words that name the cause"
)
@pytest.mark.parametrize(
    ("text", "grade"),
    [
        ("Pinto 1000: stones 25.5", "Sample Salvage"),
        ("Pinto 1000: stones 25.4", "Sample, account stones, shale or similar material, total foreign material"),
        ("Pinto 1000: classes_that_blend 155", "Sample, account other classes that blend"),
    ],
)
def test_what_qualifies_for_no_grade_is_sample_and_says_why(text, grade):
    result = canada(text, judged=GOOD)
    assert (result.grade, result.printed, result.qualifies_for) == (grade, grade, ())


def test_a_stop_with_a_published_name_takes_that_name():
    result = canada("Pinto 500:", stops=("fireburnt",))
    assert (result.grade, result.qualifies_for) == ("Sample Canada Pinto Account Fireburnt", ())
    assert [entry.factor for entry in result.limiting] == ["fireburnt"]


@pytest.mark.parametrize("stop", ["odour", "live_insects", "treated_seed", "heated"])
def test_a_stop_without_a_published_name_leaves_it_to_an_inspector_and_holds_the_lot(stop):
    result = canada("Pinto 500:", stops=(stop,))
    assert result.grade == f"not graded: {stop.replace('_', ' ')}"
    assert any("a licensed inspector decides" in note for note in result.notes)
    assert any("Hold the lot" in note for note in result.notes)


def test_what_was_not_judged_holds_nothing_back_and_is_said():
    result = canada("Pinto 500: splits 1")
    assert result.grade == "Extra No. 1 Canada"
    assert any(note.startswith("Colour was not judged") for note in result.notes)
    assert any(note.startswith("Uniform size was not judged") for note in result.notes)


def test_beans_that_are_not_uniform_are_not_extra():
    result = canada("Pinto 500:", judged={"colour": "good_natural", "uniform_size": "no"})
    assert result.grade == "No. 1 Canada"
    assert limiting(result) == ["uniform_size None over yes"]


def test_every_grade_says_that_it_is_in_house():
    for result in (canada("Pinto 500:"), demo("navy 500:"), canada("Pinto 500:", stops=("odour",))):
        assert "not an official certificate" in result.notes[0]
    assert "demo limits, from memory, not official" in demo("navy 500:").notes


def test_the_limiting_factor_is_named_with_reading_and_limit():
    result = demo(
        "navy 499.6: splits 3.1, damaged 2.6, other_foreign_material 0.3, stones 0.1, contrasting_classes 3.1"
    )
    assert (result.grade, limiting(result)) == ("No. 2", ["contrasting_classes 0.62 over 0.50"])
    assert (str(result.limiting[0].raw_pct), result.limiting[0].kept_from) == ("0.620496", "No. 1")


def test_only_what_keeps_it_from_the_next_grade_is_limiting():
    result = demo("black 500.2: splits 11.9, damaged 8.6, other_foreign_material 1.0, stones 1.1")
    assert (result.grade, limiting(result)) == ("No. 3", ["total_defects 4.52 over 4.00"])


def test_beyond_the_last_demo_grade_reads_below_no_3():
    result = demo("navy 500: damaged 31")
    assert (result.grade, result.qualifies_for, limiting(result)) == (
        "below No. 3",
        (),
        ["total_defects 6.20 over 6.00"],
    )


def test_a_reading_at_its_limit_is_within_it_and_a_hair_more_is_read_first():
    assert demo("navy 500: splits 10").grade == "No. 1"
    assert demo("navy 500: splits 10.02").grade == "No. 1"  # 2.004 reads 2.00
    assert demo("navy 500: splits 10.025").grade == "No. 2"  # 2.005 reads 2.01


def test_a_total_is_rounded_from_its_raw_sum_and_not_from_rounded_parts():
    # Three parts of 0.004 % each read 0.00, their total 0.012 % reads 0.01.
    result = demo("navy 1000: splits 0.04, damaged 0.04, contrasting_classes 0.04")
    read = {reading.factor.name: str(reading.read_pct) for reading in result.readings}
    assert (read["splits"], read["damaged"], read["total_defects"]) == ("0.00", "0.00", "0.01")


@pytest.mark.outside(
    "AMS Bar Decisions, Edible Beans (AMS-GD-2020-28), question 4: a damaged bean of a contrasting class counts "
    "as damage and as contrasting class. That a total counts it once is arithmetic: the pan holds it once"
)
def test_a_damaged_bean_of_another_class_counts_under_both_and_once_in_the_total():
    overlap = (Overlap(("damaged", "contrasting_classes"), Decimal("1.0")),)
    result = demo("pinto 500: damaged 3.0, contrasting_classes 2.0", overlaps=overlap)
    read = {reading.factor.name: str(reading.read_pct) for reading in result.readings}
    assert (read["damaged"], read["contrasting_classes"], read["total_defects"]) == ("0.60", "0.40", "0.80")


def test_a_count_stands_for_a_weight_only_through_the_seed_weight_and_says_so():
    result = demo("pinto 500:", counts={"damaged": 10}, seed_weight_g_per_100=Decimal("36.4"))
    damaged = next(reading for reading in result.readings if reading.factor.name == "damaged")
    assert (str(damaged.read_pct), damaged.pieces) == ("0.73", 10)
    assert any("estimated from 10 pieces" in note for note in result.notes)
    with pytest.raises(Refused, match="10 pieces were counted and not weighed"):
        demo("pinto 500:", counts={"damaged": 10})


def test_dockage_stands_on_gross_and_the_rest_on_the_cleaned_portion():
    result = demo("navy 954.0: splits 14.8", gross_g=Decimal("1000.0"), dockage_g=Decimal("46.0"))
    assert (str(result.dockage.read_pct), str(result.readings[0].read_pct)) == ("4.60", "1.55")


def test_two_portions_pool_into_one():
    one = portion("black 500.0: splits 4.1, damaged 4.9, other_foreign_material 0.2")
    two = portion("black 500.4: splits 3.6, damaged 4.2, other_foreign_material 0.1")
    both = outcome(shipped_rule_set("QM-DEMO"), pooled([one, two]))
    assert [str(reading.read_pct) for reading in both.readings if reading.factor.name == "total_defects"] == ["1.71"]
    with pytest.raises(ValueError, match="one class"):
        pooled([one, portion("navy 500:")])
    with pytest.raises(ValueError, match="at least one"):
        pooled([])


@pytest.mark.parametrize(
    ("text", "rest", "says"),
    [
        ("zebra 500:", {}, "We know no class of QM-DEMO 'zebra'"),
        ("navi 500:", {}, "Did you mean navy?"),
        ("navy 500: split 2.4", {}, "Did you mean splits?"),
        ("navy 500: total_defects 2.4", {}, "We know no dish of QM-DEMO 'total_defects'"),
        ("navy 500:", {"stops": ("smell",)}, "We know no stop of QM-DEMO 'smell'"),
        ("navy 0:", {}, "The portion weighs 0 g"),
        ("navy 500: splits 501", {}, "Splits weighs 501 g, more than the portion of 500 g"),
        ("navy 500: splits 300, damaged 201", {}, "All dishes together weigh 501 g"),
        ("navy 955:", {"gross_g": Decimal(1000), "dockage_g": Decimal(46)}, "more than the cleaned 954 g"),
        ("navy 955:", {"gross_g": Decimal(40), "dockage_g": Decimal(46)}, "leaves no beans"),
        ("navy 955:", {"dockage_g": Decimal(46)}, "dockage_g is given without gross_g"),
        ("navy 500:", {"gross_g": Decimal(1000)}, "gross_g is given without dockage_g"),
        ("navy 500: splits 24.0", {"sound_g": Decimal("497.6")}, "Splits 24.0: did you mean 2.4?"),
        (
            "navy 500: damaged 1, contrasting_classes 3",
            {"overlaps": (Overlap(("damaged", "contrasting_classes"), Decimal(2)),)},
            "but damaged weighs 1 g",
        ),
    ],
)
def test_it_refuses_what_cannot_be_true_and_says_what_to_do(text, rest, says):
    with pytest.raises(Refused) as refused:
        demo(text, **rest)
    assert says in str(refused.value)


def test_it_names_everything_wrong_at_once():
    with pytest.raises(Refused) as refused:
        demo("zebra 500: split 2.4, damage 1")
    assert [mistake.field for mistake in refused.value.mistakes] == ["class", "weights_g.split", "weights_g.damage"]
