"""What a graded portion says, told as observations of its sample."""

import pytest

from grading.queries.grades import sample_answer
from inventory.actions.reversing import reverse
from inventory.models import Operation
from tests.api.brapi.asking import Client, client_of
from tests.api.brapi.test_seed import done
from tests.make import House, house, received

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    return house()


@pytest.fixture
def who(plant: House) -> Client:
    return client_of(plant)


def graded(plant: House, who: Client) -> str:
    """Grade a portion and give its sample's DbId."""
    lot = received(plant)
    done(plant, "bench sample", {"number": "G1", "lot": lot.number, "mass": "2"})
    worked = {
        "sample": "G1",
        "portion_g": "500.3",
        "rule_set": "QM-DEMO",
        "weights_g": {"splits": "2.4", "stones": "0.1"},
    }
    done(plant, "grade", worked)
    (unit,) = who.rows("observationunits?observationUnitLevelName=sample")
    return str(unit["observationUnitDbId"])


def test_a_grade_and_each_factor_are_observations_of_the_sample(plant: House, who: Client) -> None:
    unit = graded(plant, who)
    rows = {row["observationVariableDbId"]: row for row in who.rows(f"observations?observationUnitDbId={unit}")}
    answer = sample_answer(plant.station, "G1")
    assert rows["PORTION:grade"]["value"] == answer["grade"]
    assert rows["PORTION:grade"]["additionalInfo"]["official"] == "false"
    assert rows["PORTION:grade"]["additionalInfo"]["ruleSet"] == "QM-DEMO"
    # 2.4 g of 500.3 g by hand: 0.4797 %, so 0.48; and the fraction itself beside it
    assert rows["FACTOR:splits"]["value"] == "0.48"
    assert rows["FACTOR:splits"]["additionalInfo"]["exactShare"] == "24/5003"
    assert rows["DISH:splits"]["value"] == "2.4"
    read = {f"FACTOR:{one['factor']}": one["read_pct"] for one in answer["factors"]}
    assert {key: row["value"] for key, row in rows.items() if key.startswith("FACTOR:")} == read
    variables = {row["observationVariableDbId"]: row for row in who.rows("variables")}
    assert {key: row["observationVariableName"] for key, row in rows.items()} == {
        key: variables[key]["observationVariableName"] for key in rows
    }
    scale = variables["PORTION:grade"]["scale"]
    assert scale["dataType"] == "Nominal"
    assert answer["grade"] in [one["value"] for one in scale["validValues"]["categories"]]


def test_a_study_of_grading_names_the_variables_of_its_portions(plant: House, who: Client) -> None:
    unit = graded(plant, who)
    (study,) = who.rows("studies?observationVariableDbId=PORTION:grade")
    found = {row["observationVariableDbId"] for row in who.rows(f"observations?observationUnitDbId={unit}")}
    assert set(study["observationVariableDbIds"]) == found
    assert {row["observationVariableDbId"] for row in who.rows(f"variables?studyDbId={study['studyDbId']}")} == found


def test_a_grade_that_waits_for_a_blind_regrade_is_told_to_nobody_who_might_pick_it(plant: House, who: Client) -> None:
    unit = graded(plant, who)
    done(plant, "bench sample", {"number": "G2", "file_sample_of": "G1", "blind": True})
    grader = client_of(plant, "bench")
    assert who.rows(f"observations?observationUnitDbId={unit}")
    assert grader.rows("observations") == [] and grader.rows("observationunits?observationUnitLevelName=sample") == []
    assert "PORTION:grade" not in [row["observationVariableDbId"] for row in grader.rows("variables")]
    assert all("observationVariableDbIds" not in row for row in grader.rows("studies"))


def test_a_portion_taken_back_is_told_no_more(plant: House, who: Client) -> None:
    unit = graded(plant, who)
    assert who.rows(f"observations?observationUnitDbId={unit}")
    last = Operation.objects.filter(station=plant.station, kind="grade").last()
    assert last is not None
    reverse(last, station=plant.station, by=plant.records, reason="wrong pan")
    assert who.rows(f"observations?observationUnitDbId={unit}") == []
