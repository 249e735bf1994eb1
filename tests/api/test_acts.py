"""Every act through one door, by its verb."""

from typing import Any

import pytest
from django.contrib.auth.models import User

from api.problems import pointer_of
from api.v1.acts import offered
from inventory.models import Operation
from inventory.queries.verifying import verify
from tests.api.asking import Program, program_of
from tests.inventory.actions.floor import Floor, everything, floor
from tests.make import House, house
from tests.refusals import REFUSALS, Case

pytestmark = pytest.mark.django_db
CLEANED = {
    "number": "R9", "machines": "air-screen", "feed_lot": "24-0001-5", "feed": "900", "at": "2025-05-05",
    "outs": [{"mass": "850"}], "taken_off": {"throughs": "50"},
}  # fmt: skip


def program(user: User) -> Program:
    return program_of(user)


@pytest.fixture
def plant() -> Floor:
    return floor(house())


@pytest.fixture
def records(plant: Floor) -> Program:
    return program(plant.house.people["records"])


def test_a_run_is_booked_by_its_verb(records: Program) -> None:
    facts = records.post("/api/v1/acts/clean", CLEANED)
    assert [(lot["kg"], lot["line"]) for lot in facts["lots"]] == [("850.0", "N-1")]
    assert facts["operations"][0]["at"].endswith("Z")


def test_the_answer_says_where_the_lot_is_read(records: Program) -> None:
    answer = records.send("/api/v1/acts/clean", CLEANED)
    assert (
        records.client.get(answer["Location"], headers=records.headers).json()["lot"] == answer.json()["lots"][0]["lot"]
    )


def test_a_verb_is_read_with_blanks_hyphens_and_underscores(records: Program) -> None:
    for name, verb in (("C-1", "add-place"), ("C-2", "add_place"), ("C-3", "add%20place")):
        records.post(f"/api/v1/acts/{verb}", {"code": name})


@pytest.mark.parametrize("case", REFUSALS, ids=str)
def test_what_is_refused_or_asked_elsewhere_is_here_in_the_same_words(plant: Floor, case: Case) -> None:
    sender = program(plant.house.people[case.by])
    asked = dict(case.asked)
    key = asked.pop("key", "")
    if case.before:
        verb, words = case.before
        program(plant.house.people["records"]).post(f"/api/v1/acts/{verb}", {**words, **asked}, key=key)
    before = everything(plant.house)
    status = 409 if case.is_question else 403 if case.code == "may_not" else 422
    status = 404 if case.verb not in offered() else status
    answer = sender.send(f"/api/v1/acts/{case.verb}", {**case.words, **asked}, key=key)
    assert answer.status_code == status, answer.content
    problem = answer.json()
    assert case.says in problem["detail"]
    assert case.code in [error["code"] for error in problem["errors"]]
    assert everything(plant.house) == before


def test_a_question_says_how_it_is_answered_and_goes_through_so(records: Program) -> None:
    words = {**CLEANED, "outs": [{"mass": "800"}]}
    problem = records.post("/api/v1/acts/clean", words, 409)
    answers = {error["code"]: "weighed twice" for error in problem["errors"]}
    assert all(f'"{code}"' in error["answer"] for code, error in zip(answers, problem["errors"], strict=True))
    records.post("/api/v1/acts/clean", {**words, "answers": answers})


def test_without_a_key_nothing_is_booked(records: Program) -> None:
    before = Operation.objects.count()
    answer = records.client.post(
        "/api/v1/acts/clean",
        "{}",
        content_type="application/json",
        headers={"Authorization": f"Bearer {records.secret}"},
    )
    assert (answer.status_code, answer.json()["code"]) == (400, "key_missing")
    assert Operation.objects.count() == before


def test_the_same_key_is_one_effect_one_answer_and_says_so(records: Program) -> None:
    first = records.send("/api/v1/acts/clean", CLEANED, key='"k-1"')
    again = records.send("/api/v1/acts/clean", CLEANED, key="k-1")
    assert (first.status_code, again.status_code) == (201, 201)
    assert first.json() == again.json()
    assert (first.get("Idempotency-Replayed"), again.get("Idempotency-Replayed")) == (None, "true")
    assert records.post("/api/v1/acts/clean", {**CLEANED, "feed": "899"}, 422, key="k-1")["code"] == "key_reused"


def test_an_unknown_verb_names_the_nearest(records: Program) -> None:
    assert "Did you mean clean or blend?" in records.post("/api/v1/acts/cleen", {}, 404)["detail"]


def test_an_unknown_field_names_the_nearest_and_points_at_it(records: Program) -> None:
    problem = records.post("/api/v1/acts/clean", {**CLEANED, "outs": [{"mas": "850"}]}, 422)
    assert next((error["pointer"], error["proposal"]) for error in problem["errors"]) == ("/outs/0/mas", "mass")


LOT = "24-0001-5"


@pytest.mark.parametrize(
    ("verb", "words", "pointer"),
    [
        ("clean", {**CLEANED, "outs": [{"mass": "850"}, {"mass": "x"}]}, "/outs/1/mass"),
        ("clean", {**CLEANED, "outs": [{"mass": "850", "place": "Z-9"}]}, "/outs/0/place"),
        ("clean", {**CLEANED, "taken_off": {"throughs": "x"}}, "/taken_off/throughs"),
        ("clean", {**CLEANED, "taken_off": {"chaff": "1"}}, "/taken_off/chaff"),
        ("ship", {"code": "S9", "recipient": "T", "items": [{"lot": LOT, "mass": "1"}, {"lot": "x"}]}, "/items/1/lot"),
        ("ship", {"code": "S9", "recipient": "T", "items": [{"lot": LOT, "bags": "99"}]}, "/items/0/bags"),
        ("blend", {"lot": "24-0009-9", "parts": [{"lot": LOT}, {"lot": "x"}], "place": "A-01"}, "/parts/1/lot"),
        ("late addition", {"run": "R9", "taken_off": {"lights": "1", "chaff": "1"}}, "/taken_off/chaff"),
        ("late addition", {"run": "R9", "taken_off": {"lights": "x"}}, "/taken_off/lights"),
    ],
)
def test_what_is_wrong_in_one_of_several_is_pointed_at_there(
    records: Program, verb: str, words: dict[str, Any], pointer: str
) -> None:
    if verb == "late addition":
        records.post("/api/v1/acts/clean", CLEANED)
    assert pointer in [one["pointer"] for one in records.post(f"/api/v1/acts/{verb}", words, 422)["errors"]]


def test_every_act_is_listed_with_its_fields(records: Program) -> None:
    listed = {act["verb"]: act for act in records.get("/api/v1/acts")["results"]}
    assert set(listed) == set(offered())
    assert listed["clean"]["needs"] == ["number", "machines", "feed_lot"]
    assert listed["add cross"]["url"].endswith("/api/v1/acts/add-cross")


@pytest.mark.outside("IETF RFC 6901, JSON Pointer, 2013, sections 3 and 5 (from memory): ~0 is ~, ~1 is /")
@pytest.mark.parametrize(
    ("field", "pointer"),
    [
        ("", ""),
        ("gross", "/gross"),
        ("outs.1.mass", "/outs/0/mass"),
        ("counts.a/b", "/counts/a~1b"),
        ("m.~n", "/m/~0n"),
    ],
)
def test_a_field_is_a_json_pointer(field: str, pointer: str) -> None:
    assert pointer_of(field) == pointer


BODIES = (
    "{}",
    '{"lot": [], "lots": {}, "at": {}, "code": [[]]}',
    '{"answers": {"x": {"y": [1]}}, "reason": 3}',
    '{"lot": 1e999999, "mass": -1, "number": 1.5, "at": "9999-12-31T23:59:59"}',
    '{"\\ud800": "\\udfff"}',
    '{"lots": ["", null, 3], "outs": [null], "parts": [[1]], "items": ["x"], "days": [{}]}',
)


@pytest.mark.parametrize("verb", sorted(offered()))
def test_no_body_makes_a_fault_of_ours(verb: str) -> None:
    plant = house()
    before = everything(plant)
    sender = program(plant.people["records"])
    for body in BODIES:
        answer = sender.send(f"/api/v1/acts/{verb}", body)
        assert 400 <= answer.status_code < 500, answer.content
    assert everything(plant) == before


def test_the_books_stand_after_all_that(records: Program, plant: Floor) -> None:
    records.post("/api/v1/acts/clean", CLEANED)
    assert verify(plant.house.station).is_whole


def test_nobody_books_at_another_station(records: Program) -> None:
    other: House = house("OT")
    stranger = program(other.people["records"])
    problem: dict[str, Any] = stranger.post("/api/v1/acts/clean", CLEANED, 422)
    assert "24-0001-5" in problem["detail"]
