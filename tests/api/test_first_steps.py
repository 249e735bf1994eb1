"""What a program's writer meets first: the description by its key, who the key is, and what to do after a mistake."""

from uuid import uuid4

import pytest
from django.test import Client

from api.registry import problem_types
from api.v1.examples import PORTION
from api.v1.told_shapes import LOT, OUTCOME, PORTION_SENT, TRACE
from api.wording import said
from grading.rules.portion_form import KNOWN
from inventory.models import Operation
from inventory.rules.sheet_drafts import AnsweredMeanwhile
from tests.api.asking import Program, program_of
from tests.inventory.lamp import lamp, soak_kind
from tests.make import House, bagged, house, received

pytestmark = pytest.mark.django_db
HTML = "text/html,application/xhtml+xml,*/*;q=0.8"


@pytest.fixture
def plant() -> House:
    return house()


def program(plant: House, *scopes: str) -> Program:
    return program_of(plant.intake, *scopes)


def test_a_narrow_key_reads_the_description_and_what_there_is(plant: House) -> None:
    scale = program(plant, "lots:write")
    asked = {**scale.headers, "Accept": "application/yaml"}
    answer = scale.client.get("/api/openapi.yaml", headers=asked)
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/yaml")
    assert answer.content.startswith(b"openapi: 3.1")
    assert scale.get("/api/v1/me")["scopes"] == ["lots:write"]
    assert "acts" in scale.get("/api/v1")
    assert scale.get("/api/v1/lots", 403)["detail"] == (
        "This key was not given the scope lots:read; it has lots:write. "
        "Use one that was: the page Connections makes it."
    )


@pytest.mark.parametrize(
    ("headers", "status"),
    [({}, 401), ({"Authorization": "Bearer hilum_x"}, 401), ({"Accept": HTML}, 302)],
)
def test_nobody_reads_the_description_without_a_key_and_a_person_is_sent_to_sign_in(
    headers: dict[str, str], status: int
) -> None:
    assert Client().get("/api/openapi.yaml", headers=headers).status_code == status


def test_a_key_under_another_scheme_is_told_how_it_is_written(plant: House) -> None:
    sent = {"Authorization": f"Token {program(plant).secret}"}
    says = plant_says(Client().get("/api/v1/me", headers=sent))
    assert says == "The header Authorization begins with 'Token'. Write it as Bearer, a blank and the key."


def test_a_program_reads_which_day_it_is_at_its_station(plant: House) -> None:
    says = program(plant).get("/api/v1/me")
    assert says["zone"] == plant.station.zone
    assert len(says["today"]) == len("2026-03-31")


def test_a_list_in_another_form_is_shown_the_address_that_has_it(plant: House) -> None:
    reader = program(plant)
    says = reader.get("/api/v1/bags?format=csv", 400)["detail"]
    assert "/api/v1/bags/export?format=csv" in says
    assert says == reader.get("/api/v1/bags?format=csv&place=A-01", 400)["detail"]
    answer = reader.client.get("/api/v1/bags", headers={**reader.headers, "Accept": "text/csv"})
    assert answer.status_code == 406
    assert "/api/v1/bags/export?format=csv" in answer.json()["detail"]


def test_the_plain_name_of_a_parameter_is_proposed_before_its_comparisons(plant: House) -> None:
    assert program(plant).get("/api/v1/readings?device_id=7", 400)["errors"][0]["proposal"] == "device"


def test_a_missing_field_is_told_as_a_body_takes_it_and_points_into_it(plant: House) -> None:
    scale = program(plant)
    says = scale.post("/api/v1/acts/move", {"lot": received(plant, "500").number}, 422)
    assert says["detail"] == 'To is missing. Send it in the body as "to".'
    pointers = {one["pointer"] for one in scale.post("/api/v1/lots/receive", {}, 422)["errors"]}
    assert pointers == {"/plots", "/gross"}


def test_a_mistake_of_no_field_of_the_body_points_at_the_whole(plant: House) -> None:
    lot, scale = received(plant, "500"), program(plant)
    sent = {"lot": lot.number, "count": 30, "bag_mass": "25"}
    assert [one["pointer"] for one in scale.post("/api/v1/acts/bag", sent, 422)["errors"]] == [""]


def test_a_list_in_the_place_of_one_value_is_told_how_that_is_written(plant: House) -> None:
    items = [{"lot": received(plant, "500").number, "bags": [1, 2]}]
    says = program(plant).post("/api/v1/acts/ship", {"code": "S9", "recipient": "x", "items": items}, 422)["detail"]
    assert says == "Items.1.bags reads 'a list'. Give one value: numbers of bags, such as 1-6, 24."


def test_what_a_status_means_is_told_in_words(plant: House) -> None:
    several = program(plant).post("/api/v1/lots/receive", {"plots": ["QM24-I1"], "net": "x", "place": "Z"}, 422)
    told = problem_types()[several["code"]]
    assert several["title"] == told["title"] == "Several things stand in the way"
    assert "`errors`" in told["means"][1]


def test_what_has_an_id_that_never_changes_is_read_by_it(plant: House) -> None:
    lot, reader = received(plant, "500"), program(plant)
    bag = bagged(plant, lot, count=2).bags.first()
    for name in ("bags", "lots", "operations"):
        row = reader.get(f"/api/v1/{name}")["results"][0]
        assert reader.get(f"/api/v1/{name}/{row['id']}")["id"] == row["id"]
    assert reader.get(f"/api/v1/bags/{bag.uid}")["number"] == bag.number
    act = reader.get(f"/api/v1/operations/{Operation.objects.get(kind='bag').uid}")
    assert {entry["lot"] for entry in act["entries"]} == {lot.number}
    assert reader.get(f"/api/v1/lots/{lot.uid}/trace")["ref"] == lot.number


@pytest.mark.parametrize("name", ["bags", "lots", "operations"])
def test_an_id_that_is_not_in_the_books_is_told_as_one(plant: House, name: str) -> None:
    lost = str(uuid4())
    assert program(plant).get(f"/api/v1/{name}/{lost}", 404)["code"] == "not_there"


def test_a_board_begins_with_what_happens_from_now_on(plant: House) -> None:
    reader = program(plant)
    assert reader.get("/api/v1/changes")["last"] == 0
    received(plant, "500")
    received(plant, "20")
    assert reader.get("/api/v1/changes?limit=1")["last"] == 2
    assert reader.get("/api/v1/changes?after=0")["last"] == 2
    assert reader.get("/api/v1/changes?after=9999")["last"] == 2  # the books are older than what is known


def test_a_lot_and_its_trace_are_told_as_they_are_described(plant: House) -> None:
    lot, reader = received(plant, "500"), program(plant)
    told = reader.get(f"/api/v1/lots/{lot.number}")
    assert set(told) == set(LOT["properties"])
    assert set(told["operations"][0]) == set(LOT["properties"]["operations"]["items"]["properties"])
    trace = reader.get(f"/api/v1/lots/{lot.number}/trace")
    assert set(trace) - {"notes"} == set(TRACE["properties"])
    assert set(trace["nodes"][0]) - {"assumed"} == set(TRACE["properties"]["nodes"]["items"]["properties"])


def test_a_portion_is_graded_as_it_is_described(plant: House) -> None:
    assert set(PORTION_SENT["properties"]) == set(KNOWN)
    graded = program(plant).post("/api/v1/outcome", {**PORTION, "rule_set": "US-MI-BEAN-SEED"}, 422)
    assert "no class" in graded["detail"]
    sent = {"rule_set": "CA-BEANS", "class": "Navy", "portion_g": "500", "weights_g": {}}
    told = program(plant).post("/api/v1/outcome", sent, 200)
    assert set(OUTCOME["properties"]) == set(told)


def test_what_a_labs_own_method_came_to_is_answered_listed_and_told(plant: House) -> None:
    lot = received(plant, "500")
    meter = program_of(plant.bench)
    with lamp(measurement_kinds=lambda: [soak_kind()]):
        done = meter.post("/api/v1/acts/soaking-test", {"lot": lot.number, "dry": "100", "wet": "205.4"})
    came_to = [{"name": "hydration coefficient", "value": "205.400", "unit": "%"}]
    assert done["measured"] == [{"lot": lot.number, "kind": "soaking_test", "results": came_to}]
    [row] = meter.get(f"/api/v1/measurements?lot={lot.number}&kind=soaking_test")["results"]
    assert (row["values"]["wet"], row["results"][0][1]) == ("205.4", "205.400")
    told = meter.get("/api/v1/changes?after=1")["results"][0]["facts"]
    assert told["measured"] == [{"kind": "soaking_test", "results": came_to}]


def plant_says(answer: object) -> str:
    return str(answer.json()["detail"])  # type: ignore[attr-defined]


def test_what_a_page_shows_beside_a_sentence_is_said_to_a_program() -> None:
    assert said(AnsweredMeanwhile(4, "plot", "records", "'x'")) == (
        "Row 4, plot was answered by records since you read it: 'x'. That stands "
        'unless you name it as "seen" with another.'
    )
