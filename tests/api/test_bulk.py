"""Many acts by one request: all or none, or each for itself; a key is one effect, whatever was lost on the way."""

from typing import Any

import pytest

from inventory.models import Command, Operation, Place
from inventory.queries.verifying import verify
from tests.api.asking import Program, program_of
from tests.inventory.actions.floor import Floor, everything, floor
from tests.make import house

pytestmark = pytest.mark.django_db
BULK = "/api/v1/acts/bulk"
PLACE = {"client_id": "p", "verb": "add place", "words": {"code": "C-1"}}
MOVE = {"client_id": "m", "verb": "move", "words": {"lot": "24-0001-5", "to": "C-1", "at": "2025-05-05"}}
WRONG = {"client_id": "w", "verb": "move", "words": {"lot": "24-0001-5", "to": "Z-9", "at": "2025-05-05"}}
ADJUST = {
    "client_id": "a", "verb": "adjust",
    "words": {"lot": "24-0002-8", "mass": "-1", "at": "2025-05-05", "reason": "weighed again"},
}  # fmt: skip


@pytest.fixture
def plant() -> Floor:
    return floor(house())


@pytest.fixture
def records(plant: Floor) -> Program:
    return key_of(plant)


def key_of(plant: Floor, role: str = "records") -> Program:
    return program_of(plant.house.people[role])


def each(*items: Any) -> dict[str, Any]:
    return {"mode": "each", "items": list(items)}


def together(*items: Any) -> dict[str, Any]:
    return {"items": list(items)}


def test_acts_that_need_each_other_are_done_together(records: Program, plant: Floor) -> None:
    told = records.post(BULK, together(PLACE, MOVE, ADJUST))
    assert [(one["client_id"], one["status"]) for one in told["items"]] == [("p", 201), ("m", 201), ("a", 201)]
    assert told["items"][1]["id"] == told["items"][1]["operations"][0]["uid"]
    assert verify(plant.house.station).is_whole


def test_none_is_done_where_one_is_refused_and_the_pointer_leads_to_it(records: Program, plant: Floor) -> None:
    before = everything(plant.house)
    problem = records.post(
        BULK, together(PLACE, MOVE, WRONG, {**ADJUST, "words": {**ADJUST["words"], "mas": "1"}}), 422
    )
    assert [error["pointer"] for error in problem["errors"]] == ["/items/3/words/mas"]
    problem = records.post(BULK, together(PLACE, MOVE, WRONG, {**MOVE, "words": {"lot": "x", "to": "C-1"}}), 422)
    assert [error["pointer"] for error in problem["errors"]] == ["/items/2/words/to", "/items/3/words/lot"]
    assert everything(plant.house) == before
    assert not Command.objects.exists()


def test_a_pointer_leads_into_the_words_of_an_item(records: Program) -> None:
    words = {"code": "S9", "recipient": "T", "items": [{"lot": "24-0001-5", "mass": "1"}, {"lot": "x"}]}
    ship = {"verb": "ship", "words": words}
    problem = records.post(BULK, together(PLACE, ship), 422)
    assert [error["pointer"] for error in problem["errors"]] == ["/items/1/words/items/1/lot"]
    (told,) = records.post(BULK, each(ship), 200)["items"]
    assert [error["pointer"] for error in told["problem"]["errors"]] == ["/words/items/1/lot"]


def test_each_is_done_for_itself_and_answers_for_itself(records: Program, plant: Floor) -> None:
    told = records.post(BULK, each(PLACE, WRONG, MOVE, {"verb": "moov"}, 3, {**ADJUST, "by": "me"}), 200)
    assert [one["status"] for one in told["items"]] == [201, 422, 201, 422, 422, 422]
    pointers = [one["problem"]["errors"][0]["pointer"] for one in told["items"] if "problem" in one]
    assert pointers == ["/words/to", "/verb", "", "/by"]
    assert told["items"][1]["client_id"] == "w"
    assert verify(plant.house.station).is_whole


@pytest.mark.parametrize(("mode", "status"), [("atomic", 201), ("each", 200)])
def test_the_same_key_is_one_effect_and_one_answer(records: Program, mode: str, status: int) -> None:
    sent = {"mode": mode, "items": [PLACE, MOVE, ADJUST]}
    first = records.post(BULK, sent, status, "k-1")
    count = Operation.objects.count()
    again = records.send(BULK, sent, "k-1")
    assert (again.status_code, again.json()) == (status, first)
    assert mode == "each" or again["Idempotency-Replayed"] == "true"
    assert Operation.objects.count() == count


def test_a_key_with_other_items_is_refused(records: Program) -> None:
    records.post(BULK, together(PLACE), 201, "k-1")
    assert records.post(BULK, together(PLACE, MOVE), 422, "k-1")["code"] == "key_reused"
    records.post(BULK, each(ADJUST), 200, "k-2")
    other = {**ADJUST, "words": {**ADJUST["words"], "mass": "-2"}}
    assert records.post(BULK, each(other), 200, "k-2")["items"][0]["problem"]["code"] == "key_reused"


def test_what_was_refused_is_tried_again_under_the_same_key_and_the_rest_is_not_done_twice(records: Program) -> None:
    items = (ADJUST, MOVE)
    assert [one["status"] for one in records.post(BULK, each(*items), 200, "k-1")["items"]] == [201, 422]
    Place.objects.create(station=Operation.objects.earliest("pk").station, code="C-1")
    assert [one["status"] for one in records.post(BULK, each(*items), 200, "k-1")["items"]] == [201, 201]
    assert Operation.objects.filter(kind="adjust").count() == 1


def test_questions_are_asked_and_answered_at_their_item(records: Program) -> None:
    run = {
        "verb": "clean",
        "words": {
            "number": "R9", "machines": "air-screen", "feed_lot": "24-0001-5", "feed": "900", "at": "2025-05-05",
            "outs": [{"mass": "800"}], "taken_off": {"throughs": "50"},
        },
    }  # fmt: skip
    problem = records.post(BULK, together(run), 409)
    assert {error["pointer"].split("/words")[0] for error in problem["errors"]} == {"/items/0"}
    answers = {error["code"]: "weighed twice" for error in problem["errors"]}
    records.post(BULK, together({**run, "words": {**run["words"], "answers": answers}}))


def test_each_act_asks_for_its_own_right(plant: Floor) -> None:
    bench = key_of(plant, "bench")
    assert bench.post(BULK, together(MOVE, PLACE), 403)["code"] == "may_not"
    assert [one["status"] for one in bench.post(BULK, each(PLACE, ADJUST), 200)["items"]] == [403, 403]


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({}, "/items"), ({"items": []}, "/items"), ({"items": {}}, "/items"), ({"items": "x"}, "/items"),
        ({"items": [3]}, "/items/0"), ({"items": [{}]}, "/items/0/verb"), ({"items": [{"verb": 3}]}, "/items/0/verb"),
        ({"items": [{"verb": "move", "words": [1]}]}, "/items/0/words"),
        ({"items": [{"verb": "move", "word": {}}]}, "/items/0/word"),
        ({"items": [{"verb": "move", "client_id": 3}]}, "/items/0/client_id"),
        ({"items": [{"verb": "book draft"}]}, "/items/0/verb"),
        ({"items": [{"verb": "move", "words": {"answers": 3}}]}, "/items/0/words/answers"),
        ({"items": [{"verb": "move", "words": {"reason": [1]}}]}, "/items/0/words/reason"),
        ({"items": [PLACE], "mode": "some"}, "/mode"), ({"items": [PLACE], "moed": "each"}, "/moed"),
        ({"items": [PLACE] * 1001}, "/items"),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_pointed_at(records: Program, body: Any, pointer: str) -> None:
    assert records.post(BULK, body, 422)["errors"][0]["pointer"] == pointer
    assert not Place.objects.filter(code="C-1").exists()


@pytest.mark.parametrize("text", ["a\0b", "\ud800"])
@pytest.mark.parametrize("mode", ["atomic", "each"])
def test_text_that_no_database_keeps_is_refused_wherever_it_stands(records: Program, mode: str, text: str) -> None:
    for more in ({"lot": text}, {"reason": text}, {"answers": {"x": text}}):
        answer = records.send(BULK, {"mode": mode, "items": [{**ADJUST, "words": {**ADJUST["words"], **more}}]})
        assert answer.status_code < 500, answer.content
        assert answer.status_code == 422 or answer.json()["items"][0]["status"] == 422


def test_a_key_that_leaves_no_room_for_the_places_is_refused(records: Program) -> None:
    assert records.post(BULK, together(PLACE), 400, "k" * 191)["code"] == "key_too_long"
    answer = records.client.post(BULK, "{}", content_type="application/json", headers=records.headers)
    assert answer.json()["code"] == "key_missing"


def test_a_bulk_of_more_than_one_megabyte_is_read(records: Program) -> None:
    padded = {**PLACE, "words": {"code": "C-1", "name": "x" * 60_000}}
    problem = records.post(BULK, together(*[padded] * 20), 422)
    assert problem["errors"][0]["pointer"].startswith("/items/0/words")
