"""Lists of ids that programs keep: kept, changed, added to, found; nothing of another station."""

import json
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from api.brapi.lists import MOST_ITEMS
from api.models import SavedList
from tests.api.brapi.asking import Client, client_of, faults_of, wrongs_in
from tests.make import House, house

pytestmark = pytest.mark.django_db
TO_SOW: dict[str, Any] = {
    "listName": "To sow", "listType": "germplasm", "listDescription": "for the north field", "data": ["a", "b"],
    "additionalInfo": {"rows": "4"}, "externalReferences": [{"referenceSource": "tablet", "referenceId": "7"}],
    "listSource": None, "listSize": 99, "dateCreated": "2020-01-01T00:00:00Z",
}  # fmt: skip


@pytest.fixture
def plant() -> House:
    return house()


@pytest.fixture
def program(plant: House) -> Client:
    return client_of(plant, "breeder")


@pytest.fixture
def dbid(program: Client) -> str:
    made = program.post("lists", [TO_SOW])
    assert faults_of("lists", "post", made) == [] and wrongs_in(made) == []
    kept: str = made["result"]["data"][0]["listDbId"]
    return kept


def test_a_list_comes_back_as_it_was_sent_with_what_is_ours_to_say(program: Client, dbid: str) -> None:
    told = program.get(f"lists/{dbid}")
    assert faults_of("lists/{listDbId}", "get", told) == [] and wrongs_in(told) == []
    row = told["result"]
    same = ("listName", "listType", "listDescription", "data", "additionalInfo", "externalReferences")
    assert {name: row[name] for name in same} == {name: TO_SOW[name] for name in same}
    assert (row["listSize"], row["listOwnerName"]) == (2, "breeder-st")
    assert row["dateCreated"] > "2021" and row["dateCreated"].endswith("Z")
    assert "listSource" not in row and "data" not in program.rows("lists")[0]


def test_what_is_not_sent_stays_and_null_clears(program: Client, dbid: str) -> None:
    answer = program.put(f"lists/{dbid}", {"listName": "To sow late", "additionalInfo": None, "data": None})
    assert faults_of("lists/{listDbId}", "put", answer) == []
    row = answer["result"]
    assert (row["listName"], row["listDescription"], row["data"]) == ("To sow late", "for the north field", [])
    assert "additionalInfo" not in row
    assert row["dateModified"] > row["dateCreated"]
    assert program.get(f"lists/{dbid}")["result"] == row


@pytest.mark.parametrize("part", ["data", "items"])
def test_ids_are_added_behind_and_never_twice(program: Client, dbid: str, part: str) -> None:
    answer = program.post(f"lists/{dbid}/{part}", ["b", "c"])
    assert faults_of(f"lists/{{listDbId}}/{part}", "post", answer) == []
    assert answer["result"]["data"] == ["a", "b", "c"]
    assert program.get(f"lists/{dbid}")["result"]["listSize"] == 3


@pytest.mark.parametrize(
    ("words", "count"),
    [
        ("listName=to sow", 1), ("listName=other", 0), ("listType=germplasm", 1), ("listType=trials", 0),
        ("externalReferenceId=7", 1), ("externalReferenceId=8", 0), ("externalReferenceSource=tablet", 1),
        ("listOwnerName=breeder-st", 1), ("listSource=x", 0), ("dateCreatedRangeStart=2020-01-01", 1),
        ("dateModifiedRangeEnd=2020-01-01T00:00:00%2B01:00", 0), ("commonCropName=Common Bean", 1),
    ],
)  # fmt: skip
def test_lists_are_found_by_what_they_say(program: Client, dbid: str, words: str, count: int) -> None:
    assert len(program.rows(f"lists?{words}")) == count


def test_a_search_takes_the_kind_as_one_word_and_names_as_many(program: Client, dbid: str) -> None:
    body = {"listType": "germplasm", "listNames": ["To sow", "x"], "dateCreatedRangeStart": "2020-01-01T00:00:00.000Z"}
    assert len(program.post("search/lists", body)["result"]["data"]) == 1
    assert program.post("search/lists", {"listDbIds": ["x"]})["result"]["data"] == []
    program.post("search/lists", {"dateCreatedRangeStart": "yesterday"}, 400)
    for far in ("0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59-14:00"):
        program.post("search/lists", {"dateCreatedRangeStart": far}, 400)


@pytest.mark.parametrize(
    "sent",
    [
        {}, [{}], [1], [{"listName": "x"}], [{"listName": "", "listType": "germplasm"}],
        [{"listName": "x", "listType": "seedlots"}], [{"listName": 5, "listType": "trials"}],
        [{"listName": "x", "listType": ["trials"]}],
        [{**TO_SOW, "data": "a"}], [{**TO_SOW, "data": [1]}], [{**TO_SOW, "data": [None]}], [{**TO_SOW, "data": [""]}],
        [{**TO_SOW, "additionalInfo": {"rows": 4}}], [{**TO_SOW, "additionalInfo": [1]}],
        [{**TO_SOW, "externalReferences": {}}], [{**TO_SOW, "externalReferences": [1]}],
        [{**TO_SOW, "listName": "x" * 201}], [{**TO_SOW, "data": ["a\0"]}], [{**TO_SOW, "listName": "\ud800"}],
        [TO_SOW, {}],
    ],
)  # fmt: skip
def test_what_cannot_be_kept_is_refused_whole(program: Client, sent: Any) -> None:
    program.post("lists", sent, 400)
    assert not SavedList.objects.exists()


def test_a_list_has_an_end(program: Client, dbid: str) -> None:
    SavedList.objects.update(items=[str(number) for number in range(MOST_ITEMS)])
    assert f"{MOST_ITEMS:,}" in program.post(f"lists/{dbid}/data", ["one more"], 400)
    program.post(f"lists/{dbid}/data", ["7"])


def test_a_list_of_another_station_is_not_here(dbid: str) -> None:
    stranger = client_of(house("OT"))
    assert stranger.rows("lists") == []
    stranger.get(f"lists/{dbid}", 404)
    stranger.put(f"lists/{dbid}", {"listName": "mine"}, 404)
    stranger.post(f"lists/{dbid}/data", ["c"], 404)
    assert SavedList.objects.get().name == "To sow"


def test_whoever_has_no_role_at_the_station_keeps_none(plant: House) -> None:
    assert "no role" in client_of(plant, "stranger").post("lists", [TO_SOW], 403)
    client_of(plant, "breeder", scopes=("read",)).post("lists", [TO_SOW], 403)


def test_more_lists_cost_no_more_queries(program: Client, dbid: str) -> None:
    def queries() -> int:
        with CaptureQueriesContext(connection) as seen:
            program.rows("lists")
        return len(seen)

    program.rows("lists")
    before = queries()
    program.post("lists", json.loads(json.dumps([TO_SOW] * 5)))
    assert queries() == before
