"""Germplasm, pedigrees and crosses: who descends from whom, found, told and entered."""

from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.actions.crosses import NewCross, Pollinated, add_cross, add_crosses, log_pollinations
from inventory.actions.lines import NewLine, add_lines, merge_lines, rename_line
from inventory.models import Cross, Line, Operation
from inventory.queries.verifying import verify
from tests.api.brapi.asking import Client, client_of, faults_of, wrongs_in
from tests.make import NOW, House, house

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    """C1 = N-1/N-2, of which QN-1 and QN-2 were bred; C2 = QN-1/N-1; C3 = C2/B-1, of which QN-3 was bred."""
    plant = house()
    acts: dict[str, Any] = {"station": plant.station, "by": plant.breeder, "now": NOW}
    add_cross(NewCross(code="C1", female="N-1", male="N-2"), **acts)
    bred = [NewLine(name="QN-1", cross="C1", market_class="navy"), NewLine(name="QN-2", cross="C1")]
    add_lines(bred, answers={"name_alike": "sisters"}, **acts)
    crosses = [NewCross(code="C2", female="QN-1", male="N-1"), NewCross(code="C3", female="C2", male="B-1")]
    add_crosses(crosses, **acts)
    add_lines([NewLine(name="QN-3", cross="C3")], answers={"name_alike": "another"}, **acts)
    return plant


@pytest.fixture
def program(plant: House) -> Client:
    return client_of(plant, "breeder")


def ids(plant: House) -> dict[str, str]:
    lines = dict(Line.objects.filter(station=plant.station).values_list("name", "uid"))
    crosses = dict(Cross.objects.filter(station=plant.station).values_list("code", "uid"))
    return {name: str(uid) for name, uid in {**lines, **crosses}.items()}


def named(rows: list[Any], key: str = "germplasmName") -> list[str]:
    return [row[key] for row in rows]


def test_lines_and_crosses_are_one_list_in_an_order_that_stands(plant: House, program: Client) -> None:
    whole = named(program.rows("germplasm"))
    assert whole == ["N-1", "N-2", "B-1", "QN-1", "QN-2", "QN-3", "C1", "C2", "C3"]
    assert [name for page in range(5) for name in named(program.rows(f"germplasm?pageSize=2&page={page}"))] == whole
    assert program.rows("germplasm?pageSize=2&page=5") == []


def test_a_line_is_told_with_its_pedigree_and_what_it_is(plant: House, program: Client) -> None:
    told = program.get(f"germplasm/{ids(plant)['QN-1']}")["result"]
    assert told == {
        "germplasmDbId": ids(plant)["QN-1"], "germplasmName": "QN-1", "defaultDisplayName": "QN-1",
        "germplasmPUI": f"urn:uuid:{ids(plant)['QN-1']}", "accessionNumber": "QN-1", "commonCropName": "Common bean",
        "genus": "Phaseolus", "species": "vulgaris", "speciesAuthority": "L.", "instituteName": "A small station",
        "biologicalStatusOfAccessionCode": "410", "biologicalStatusOfAccessionDescription": "Breeder's line",
        "breedingMethodDbId": "single-cross", "breedingMethodName": "Single cross", "pedigree": "N-1/N-2",
        "synonyms": [], "storageTypes": [],
        "additionalInfo": {"kind": "line", "marketClass": "navy", "crossName": "C1"},
    }  # fmt: skip
    assert program.get(f"germplasm/{ids(plant)['C3']}")["result"]["breedingMethodDbId"] == "three-way-cross"


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("germplasmName=qn-1", ["QN-1"]),
        ("germplasmName=QN-1&germplasmName=C1", ["QN-1", "C1"]),
        ("synonym=QN-2", ["QN-2"]),
        ("genus=phaseolus&species=vulgaris&germplasmName=N-1", ["N-1"]),
        ("binomialName=Phaseolus lunatus", []),
        ("familyCode=C1", ["QN-1", "QN-2", "C1"]),
        ("commonCropName=common bean&germplasmName=B-1", ["B-1"]),
        ("commonCropName=Phaseolus vulgaris&germplasmName=B-1", []),
        ("accessionNumber=C2", ["C2"]),
        ("collection=any&germplasmDbId=x", []),
        ("externalReferenceId=1&parentDbId=x", []),
        ("germplasmName=%00", []),
    ],
)
def test_germplasm_is_found_by_what_it_is(program: Client, words: str, found: list[str]) -> None:
    assert named(program.rows(f"germplasm?{words}")) == found


def test_germplasm_is_found_by_parents_progeny_and_where_it_was_sown(plant: House, program: Client) -> None:
    known = ids(plant)
    assert named(program.rows(f"germplasm?parentDbId={known['C1']}")) == ["QN-1", "QN-2"]
    assert named(program.rows(f"germplasm?parentDbId={known['N-1']}")) == ["C1", "C2"]
    assert named(program.rows(f"germplasm?progenyDbId={known['C3']}")) == ["B-1", "C2"]
    assert named(program.rows(f"germplasm?progenyDbId={known['QN-3']}")) == ["C3"]
    assert named(program.rows(f"germplasm?germplasmPUI=urn:uuid:{known['C1']}")) == ["C1"]
    study = program.rows("studies")[0]["studyDbId"]
    assert named(program.rows(f"germplasm?studyDbId={study}")) == ["N-1", "N-2", "B-1"]
    assert program.rows("germplasm?studyDbId=none") == [] == program.rows("germplasm?trialDbId=none")
    assert len(program.rows(f"studies?germplasmDbId={known['N-1']}")) == 1
    assert program.rows(f"studies?germplasmDbId={known['C1']}") == []


def test_a_search_finds_the_same(plant: House, program: Client) -> None:
    body = {"germplasmNames": ["QN-1", "qn-2", "none"], "genus": ["Phaseolus"], "familyCodes": ["C1"], "synonyms": None}
    assert named(program.post("search/germplasm", body)["result"]["data"]) == ["QN-1", "QN-2"]
    assert named(program.post("search/pedigree", body)["result"]["data"]) == ["QN-1", "QN-2"]


def test_a_merged_line_is_in_no_list_and_says_by_its_own_id_what_it_turned_out_to_be(
    plant: House, program: Client
) -> None:
    known = ids(plant)
    merge_lines("QN-2", "QN-1", station=plant.station, by=plant.breeder, reason="the same", now=NOW)
    assert "QN-2" not in named(program.rows("germplasm"))
    told = program.get(f"germplasm/{known['QN-2']}")["result"]["additionalInfo"]
    assert (told["mergedIntoDbId"], told["mergedIntoName"]) == (known["QN-1"], "QN-1")


def test_a_renamed_line_keeps_its_id_and_pui_and_former_name(plant: House, program: Client) -> None:
    before = program.get(f"germplasm/{ids(plant)['QN-1']}")["result"]
    rename_line("QN-1", "Tarnpool", station=plant.station, by=plant.breeder, reason="named", now=NOW)
    after = program.get(f"germplasm/{before['germplasmDbId']}")["result"]
    assert (after["germplasmName"], after["germplasmPUI"]) == ("Tarnpool", before["germplasmPUI"])
    assert after["synonyms"] == [{"synonym": "QN-1", "type": "former name"}]
    assert named(program.rows("germplasm?synonym=qn-1")) == ["Tarnpool"]


def test_passport_data_are_told_for_one(plant: House, program: Client) -> None:
    told = program.get(f"germplasm/{ids(plant)['QN-1']}/mcpd")["result"]
    assert told["accessionNames"] == ["QN-1"] and told["breedingInstitutes"] == [{"instituteName": "A small station"}]
    assert told["ancestralData"] == "N-1/N-2" and told["remarks"] == "CROPNAME:navy"
    program.get("germplasm/none/mcpd", 404)


def pedigree(program: Client, words: str = "") -> dict[str, Any]:
    return {row["germplasmName"]: row for row in program.rows(f"pedigree?{words}")}


def test_a_line_has_its_cross_as_self_and_a_cross_its_female_and_male(plant: House, program: Client) -> None:
    rows = pedigree(program)
    known = ids(plant)
    assert rows["QN-1"]["parents"] == [
        {"germplasmDbId": known["C1"], "germplasmName": "C1", "parentType": "SELF"}
    ]  # fmt: skip
    assert [(one["germplasmName"], one["parentType"]) for one in rows["C3"]["parents"]] == [
        ("C2", "FEMALE"), ("B-1", "MALE"),
    ]  # fmt: skip
    assert rows["N-1"]["parents"] == []
    assert (rows["C3"]["pedigreeString"], rows["QN-1"]["familyCode"]) == ("QN-1/N-1//B-1", "C1")


def test_one_that_was_selfed_has_one_parent_and_never_the_same_twice(plant: House, program: Client) -> None:
    known = ids(plant)
    sent = {"crossName": "S1", "crossType": "SELF", "parent1": {"germplasmDbId": known["N-1"], "parentType": "SELF"}}
    told = program.post("crosses", [sent])["result"]["data"][0]
    assert told["crossType"] == "SELF" and "parent2" not in told
    assert told["parent1"]["parentType"] == "SELF"
    assert pedigree(program, "germplasmName=S1")["S1"]["parents"] == [
        {"germplasmDbId": known["N-1"], "germplasmName": "N-1", "parentType": "SELF"}
    ]  # fmt: skip


def test_sibs_and_offspring_are_told_when_asked_for(plant: House, program: Client) -> None:
    row = pedigree(program, "germplasmName=QN-1&includeSiblings=true&includeProgeny=true&includeParents=false")["QN-1"]
    assert named(row["siblings"]) == ["QN-2"]
    assert [(one["germplasmName"], one["parentType"]) for one in row["progeny"]] == [("C2", "FEMALE")]
    assert "parents" not in row


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("", ["QN-3"]),
        ("pedigreeDepth=1", ["QN-3"]),
        ("pedigreeDepth=0", ["QN-3"]),
        ("pedigreeDepth=2", ["QN-3", "C3"]),
        ("pedigreeDepth=3", ["B-1", "QN-3", "C2", "C3"]),
        ("pedigreeDepth=99", ["N-1", "N-2", "B-1", "QN-1", "QN-3", "C1", "C2", "C3"]),
        ("includeFullTree=true", ["N-1", "N-2", "B-1", "QN-1", "QN-3", "C1", "C2", "C3"]),
    ],
)
def test_a_pedigree_goes_as_deep_as_it_was_asked_for(program: Client, words: str, found: list[str]) -> None:
    assert named(program.rows(f"pedigree?germplasmName=QN-3&{words}")) == found


def test_offspring_go_as_deep_as_they_were_asked_for(program: Client) -> None:
    assert named(program.rows("pedigree?germplasmName=N-2&progenyDepth=3")) == ["N-2", "QN-1", "QN-2", "C1"]


def test_a_depth_that_is_no_number_is_refused(program: Client) -> None:
    program.get("pedigree?pedigreeDepth=deep", 400)
    program.get("pedigree?includeParents=maybe", 400)


def test_a_circle_in_the_books_ends_all_the_same_and_says_that_it_was_cut(plant: House, program: Client) -> None:
    Line.objects.filter(name="N-1").update(cross=Cross.objects.get(code="C3"))
    answer = program.get("pedigree?germplasmName=QN-3&includeFullTree=true&includeSiblings=true&includeProgeny=true")
    assert len(answer["result"]["data"]) == 9 - 1
    assert len(program.rows("germplasm")) == 9


def test_the_older_addresses_of_pedigree_and_progeny_answer_too(plant: House, program: Client) -> None:
    known = ids(plant)
    told = program.get(f"germplasm/{known['QN-1']}/pedigree?includeSiblings=true&notation=purdy")["result"]
    assert (told["pedigree"], named(told["parents"]), named(told["siblings"])) == ("N-1/N-2", ["C1"], ["QN-2"])
    warned = program.get(f"germplasm/{known['QN-1']}/pedigree?notation=other")["metadata"]["status"]
    assert "Purdy" in warned[0]["message"]
    assert named(program.get(f"germplasm/{known['C1']}/progeny")["result"]["progeny"]) == ["QN-1", "QN-2"]
    assert program.get(f"germplasm/{known['QN-2']}/progeny")["result"]["progeny"] == []


def test_crosses_are_told_with_parents_and_what_the_crossing_log_says(plant: House, program: Client) -> None:
    rows = [Pollinated(cross="C3", buds=10, pods=4, seeds=12), Pollinated(cross="C3", buds=5)]
    log_pollinations(rows, station=plant.station, by=plant.breeder, now=NOW)
    told = program.rows("crosses?crossName=c3")[0]
    assert (told["parent1"]["germplasmName"], told["parent2"]["germplasmName"]) == ("C2", "B-1")
    assert [event["pollinationSuccessful"] for event in told["pollinationEvents"]] == [True, False]
    assert [one["crossAttributeValue"] for one in told["crossAttributes"]] == ["15", "4", "12"]
    assert faults_of("crosses", "get", program.get("crosses")) == []


def test_a_cross_is_planned_until_something_came_of_it(plant: House, program: Client) -> None:
    add_cross(NewCross(code="C9", female="N-2", male="B-1"), station=plant.station, by=plant.breeder, now=NOW)
    status = {row["plannedCrossName"]: row["status"] for row in program.rows("plannedcrosses")}
    assert status == {"C1": "DONE", "C2": "DONE", "C3": "DONE", "C9": "TODO"}
    assert named(program.rows("plannedcrosses?status=TODO"), "plannedCrossName") == ["C9"]
    assert program.rows("plannedcrosses?status=SKIPPED") == []


def test_the_crossing_project_knows_each_parent_by_its_sides(program: Client) -> None:
    project = program.rows("crossingprojects")[0]
    assert "potentialParents" not in project
    more = program.get(f"crossingprojects/{project['crossingProjectDbId']}?includePotentialParents=true")["result"]
    assert ("N-1", "FEMALE") in [(one["germplasmName"], one["parentType"]) for one in more["potentialParents"]]
    assert len(program.rows(f"crosses?crossingProjectDbId={project['crossingProjectDbId']}")) == 3
    assert program.rows("crosses?crossingProjectDbId=none") == []


def test_crosses_and_lines_are_entered_as_acts_and_answer_200_with_what_they_became(
    plant: House, program: Client
) -> None:
    known, before = ids(plant), Operation.objects.count()
    parents = {
        "parent1": {"germplasmDbId": known["N-2"], "parentType": "MALE"},
        "parent2": {"germplasmDbId": known["QN-1"], "parentType": "FEMALE"},
    }
    made = program.post("plannedcrosses", [{"plannedCrossName": "C4", "status": "TODO", **parents}])
    assert faults_of("plannedcrosses", "post", made) == [] and wrongs_in(made) == []
    told = program.rows("crosses?crossName=C4")[0]
    assert (told["parent1"]["germplasmName"], told["parent2"]["germplasmName"]) == ("QN-1", "N-2")
    sent = {
        "germplasmName": "Fen 12", "commonCropName": "Common bean", "germplasmPUI": "urn:x:1", "collection": None,
        "synonyms": [{"synonym": "F12-A", "type": "field"}],
        "additionalInfo": {"marketClass": "navy", "crossName": "C4"},
    }  # fmt: skip
    answer = program.post("germplasm", [sent])
    row = answer["result"]["data"][0]
    assert row["pedigree"] == "QN-1/N-2" and row["synonyms"][0]["synonym"] == "F12-A"
    assert row["germplasmPUI"] == f"urn:uuid:{row['germplasmDbId']}"
    assert ["germplasmPUI is not kept" in one["message"] for one in answer["metadata"]["status"]] == [True]
    assert Operation.objects.count() == before + 2
    assert verify(plant.station).is_whole


def test_the_same_key_enters_a_cross_once(plant: House, program: Client) -> None:
    sent = [{"crossName": "C5", "parent1": {"germplasmName": "N-1"}, "parent2": {"germplasmName": "B-1"}}]
    first = program.post("crosses", sent, key="k-1")
    assert program.post("crosses", sent, key="k-1") == first
    assert "C5" in program.post("crosses", sent, 400, key="k-2")
    program.post("crosses", [{**sent[0], "crossName": "C6"}], 400, key="k-1")


@pytest.mark.parametrize(
    ("address", "sent"),
    [
        ("crosses", {}),
        ("crosses", [1]),
        ("crosses", [{}]),
        ("crosses", [{"crossName": "C7"}]),
        ("crosses", [{"crossName": "C7", "parent1": {"germplasmDbId": "none"}, "parent2": {"germplasmName": "B-1"}}]),
        ("crosses", [{"crossName": "C7", "parent1": {"germplasmName": "N-1", "parentType": "POPULATION"}}]),
        ("crosses", [{"crossName": "C7", "crossType": "BULK", "parent1": {"germplasmName": "N-1"}}]),
        ("crosses", [{"crossName": "C1", "parent1": {"germplasmName": "N-1"}, "parent2": {"germplasmName": "B-1"}}]),
        ("germplasm", [{"germplasmName": "N-1", "commonCropName": "Common bean"}]),
        ("germplasm", [{"germplasmName": "Fen", "commonCropName": "Cowpea"}]),
        ("germplasm", [{"germplasmName": "Fen", "additionalInfo": {"crossName": "none"}}]),
        ("germplasm", [{"germplasmName": ["Fen"]}]),
        ("germplasm", [{"germplasmName": "Fen", "synonyms": "F"}]),
        ("germplasm", [{"germplasmName": "Fen 1"}, {"germplasmName": "N-1"}]),
    ],
)
def test_what_cannot_be_entered_is_refused_whole_with_a_sentence(
    plant: House, program: Client, address: str, sent: Any
) -> None:
    before = Operation.objects.count(), Line.objects.count(), Cross.objects.count()
    program.post(address, sent, 400)
    assert (Operation.objects.count(), Line.objects.count(), Cross.objects.count()) == before


def test_whose_role_may_not_enter_crosses_is_told_so(plant: House) -> None:
    sent = [{"crossName": "C7", "parent1": {"germplasmName": "N-1"}, "parent2": {"germplasmName": "B-1"}}]
    assert "may not" in client_of(plant, "intake").post("crosses", sent, 403)


def test_a_parent_of_another_station_is_not_here(plant: House) -> None:
    other = house("OT")
    sent = [{"crossName": "C7", "parent1": {"germplasmDbId": ids(plant)["N-1"]}, "parent2": {"germplasmName": "B-1"}}]
    stranger = client_of(other, "breeder")
    stranger.post("crosses", sent, 400)
    for address in ("germplasm/{}", "germplasm/{}/mcpd", "germplasm/{}/pedigree", "germplasm/{}/progeny"):
        stranger.get(address.format(ids(plant)["QN-1"]), 404)
    assert stranger.rows(f"germplasm?germplasmDbId={ids(plant)['QN-1']}") == []
    assert named(stranger.rows("pedigree?includeFullTree=true")) == ["N-1", "N-2", "B-1"]


@pytest.mark.parametrize(
    "address",
    [
        "germplasm",
        "pedigree?includeSiblings=true&includeProgeny=true",
        "crosses",
        "plannedcrosses",
        "studies",
        "trials",
    ],
)
def test_more_rows_cost_no_more_queries(plant: House, program: Client, address: str) -> None:
    def queries() -> int:
        with CaptureQueriesContext(connection) as seen:
            program.rows(address)
        return len(seen)

    program.rows(address)  # the key's last use is noted once a minute
    before = queries()
    acts: dict[str, Any] = {"station": plant.station, "by": plant.breeder, "now": NOW}
    crosses = [NewCross(code=f"D{number}", female="N-1", male="B-1") for number in range(20, 30)]
    add_crosses(crosses, **acts)
    lines = [NewLine(name=f"R{number}-A", cross=f"D{number}") for number in range(20, 30)]
    add_lines(lines, answers={"name_alike": "another"}, **acts)
    assert queries() == before
