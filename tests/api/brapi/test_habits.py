"""What programs that know the standard alone send out of habit: it is read, or they are told what to send instead."""

import re
from pathlib import Path
from typing import Any
from urllib.parse import quote

import pytest

from api.brapi import tables
from inventory.models import Operation
from tests.api.brapi.asking import Client, client_of
from tests.api.brapi.test_seed import noted
from tests.make import House, house, received

pytestmark = pytest.mark.django_db
README = Path(tables.__file__).parent / "README.md"


@pytest.fixture
def plant() -> House:
    return house()


@pytest.fixture
def who(plant: House) -> Client:
    return client_of(plant)


@pytest.mark.outside("RFC 9110, HTTP Semantics, 2022, 12.5.1: what is wanted most is sent")
@pytest.mark.parametrize(
    ("accept", "sent"),
    [
        ("", "application/json"),
        ("*/*", "application/json"),
        ("text/html", "application/json"),
        ("text/csv", "text/csv"),
        ("text/csv, application/json;q=0.5", "text/csv"),
        ("application/json, text/csv", "application/json"),
        ("application/json;q=0.1, text/tsv;q=0.9", "text/tsv"),
        ("text/tab-separated-values", "text/tsv"),
        ("text/csv;q=0, */*;q=0.1", "application/json"),
        ("text/csv;q=much, application/json;q=0.2", "application/json"),
    ],
)
@pytest.mark.parametrize("path", ["observations/table", "observationunits/table"])
def test_a_table_is_sent_in_the_form_that_is_wanted_most(who: Client, path: str, accept: str, sent: str) -> None:
    answer = who.client.get(f"/brapi/v2/{path}", headers={**who.headers, "Accept": accept})
    assert answer.status_code == 200
    assert answer["Content-Type"].partition(";")[0] == sent


@pytest.mark.parametrize("zone", ["Z", "+00:00", "%2B00:00", "-06:00", "-0600", "%2B0200"])
def test_a_moment_is_read_with_any_zone_also_where_its_plus_became_a_space(
    plant: House, who: Client, zone: str
) -> None:
    who.post("observations", [noted("3")])
    assert len(who.rows(f"observations?observationTimeStampRangeStart=2025-05-19T00:00:00{zone}")) == 1
    assert who.rows(f"observations?observationTimeStampRangeStart=2025-05-22T00:00:00.000{zone}") == []
    who.get("observations?observationTimeStampRangeStart=2025-05-19T00:00:00", 400)


def test_a_map_is_asked_for_where_an_array_was_sent(plant: House, who: Client) -> None:
    for path in ("observations", "observationunits"):
        assert "Send a map of DbId and object" in who.put(path, [{"value": "1"}], 400)


def test_nulls_of_a_newer_client_are_as_if_they_were_not_sent(plant: House, who: Client) -> None:
    newer = dict.fromkeys(("observationDbId", "season", "geoCoordinates", "uploadedBy", "additionalInfo", "studyDbId"))
    answer = who.post("observations", [noted("3", **newer)])
    assert answer["metadata"]["status"] == [] and len(answer["result"]["data"]) == 1
    assert who.post("search/observations", {"observationLevels": None, "studyNames": None})["metadata"]["status"] == []


def test_what_is_sent_back_as_it_was_told_changes_nothing_and_warns_of_nothing(plant: House, who: Client) -> None:
    received(plant)
    who.post("observations", [noted("3")])
    acts = Operation.objects.count()
    for path, key in (("observations", "observationDbId"), ("observationunits", "observationUnitDbId"),
                      ("seedlots", "seedLotDbId")):  # fmt: skip
        row = who.rows(path)[0]
        answer = who.put(f"{path}/{row[key]}", row)
        assert answer["result"] == row
        assert answer["metadata"]["status"] == []
        other = who.put(f"{path}/{row[key]}", {**row, "programName": "Another"})["metadata"]["status"]
        assert "programName is not kept" in other[0]["message"]
    assert Operation.objects.count() == acts


def test_an_empty_array_is_answered_and_changes_nothing(plant: House, who: Client) -> None:
    for path in ("observations", "observationunits", "seedlots", "seedlots/transactions", "germplasm", "crosses"):
        assert who.post(path, [])["result"]["data"] == []
    assert who.put("observations", {})["result"]["data"] == []


@pytest.mark.parametrize(
    "dbid", ["a b", "\u00fc", "..", "\0", "CO_335:0000443", "\U0001f331", "x" * 3000, "a;b", "%", "a?b"]
)
def test_a_dbid_of_odd_signs_is_404_as_text(who: Client, dbid: str) -> None:
    for path in ("germplasm", "seedlots", "observationunits", "studies", "locations"):
        who.get(f"{path}/{quote(dbid)}", 404)


def test_head_and_options_answer_without_a_body(who: Client) -> None:
    head = who.client.head("/brapi/v2/locations", headers=who.headers)
    assert (head.status_code, head.content) == (200, b"")
    options = who.client.options("/brapi/v2/locations", headers=who.headers)
    assert (options.status_code, options["Allow"], options.content) == (200, "GET", b"")


def test_a_search_has_no_saved_results_and_says_so(who: Client) -> None:
    assert "Searches answer at once" in who.get("search/germplasm/abc", 404)


def test_every_trap_in_the_table_names_tests_that_there_are() -> None:
    rows = re.findall(r"^\| trap: .*$", README.read_text(encoding="utf-8"), re.MULTILINE)
    there = "".join(file.read_text(encoding="utf-8") for file in Path(__file__).parent.glob("test_*.py"))
    named: list[Any] = [re.findall(r"test_\w+", row) for row in rows]
    assert len(rows) >= 15 and all(named)
    assert [name for names in named for name in names if f"def {name}(" not in there] == []
