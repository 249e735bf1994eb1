"""What every address of the Breeding API does alike: envelope, pages, warnings, errors, keys, other sites' scripts."""

import re
from typing import Any
from unittest import mock

import pytest
from django.test import Client as Browser

from api.brapi import core
from api.brapi.asked import MOST, MOST_VALUES
from api.brapi.told import extra, instant, made_id, without_empty
from api.brapi.urls import ROUTES, THINGS
from tests.api.brapi.asking import Client, client_of
from tests.make import NOW, House, house, received

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    return house()


@pytest.fixture
def program(plant: House) -> Client:
    return client_of(plant)


def test_a_list_has_an_envelope_with_pages_counted_from_zero(program: Client) -> None:
    whole = program.get("locations")
    rows, total = whole["result"]["data"], len(whole["result"]["data"])
    assert whole["metadata"]["pagination"] == {
        "currentPage": 0, "pageSize": 1000, "totalCount": total, "totalPages": 1,
    }  # fmt: skip
    second = program.get("locations?page=1&pageSize=2")
    assert second["result"]["data"] == rows[2:4]
    assert second["metadata"]["pagination"] == {
        "currentPage": 1, "pageSize": 2, "totalCount": total, "totalPages": -(-total // 2),
    }  # fmt: skip
    assert program.get("locations?page=999999999")["result"]["data"] == []


def test_one_thing_is_told_without_pages(program: Client) -> None:
    first = program.rows("locations")[0]
    answer = program.get(f"locations/{first['locationDbId']}")
    assert answer["result"] == first
    assert "pagination" not in answer["metadata"]


def test_a_page_that_is_too_large_is_brought_down_and_says_so(program: Client) -> None:
    metadata = program.get("locations?pageSize=999999")["metadata"]
    assert metadata["pagination"]["pageSize"] == MOST
    assert [status["messageType"] for status in metadata["status"]] == ["WARNING"]


@pytest.mark.parametrize("words", ["page=-1", "pageSize=0", "page=one", "pageSize=1e3", "page=9999999999", "page=٣"])
def test_a_page_that_cannot_be_read_is_refused_by_name(program: Client, words: str) -> None:
    assert words.partition("=")[0] in program.get(f"locations?{words}", 400)


def test_what_is_not_read_changes_nothing_and_is_told(program: Client) -> None:
    answer = program.get("locations?colour=red&locationTypes=Field")
    assert answer["result"] == program.get("locations")["result"]
    said = answer["metadata"]["status"]
    assert [one["messageType"] for one in said] == ["WARNING", "WARNING"]
    assert "colour" in said[0]["message"] and "locationTypes" in said[1]["message"]


def test_filters_are_anded_and_read_upper_and_lower_case_alike(program: Client) -> None:
    assert {row["locationType"] for row in program.rows("locations?locationType=FIELD")} == {"Field"}
    assert program.rows("locations?locationType=Field&locationName=nowhere") == []
    assert len(program.rows("locations?locationType=")) == len(program.rows("locations"))


def test_a_search_ors_within_an_array_and_ands_between_and_null_is_nothing(program: Client) -> None:
    both = {"locationTypes": ["Field", "Station", None], "abbreviations": None, "page": 0, "pageSize": 50}
    assert {row["locationType"] for row in program.post("search/locations", both)["result"]["data"]} == {
        "Field", "Station",
    }  # fmt: skip
    narrower = {**both, "locationNames": ["A small station"]}
    assert len(program.post("search/locations", narrower)["result"]["data"]) == 1
    assert program.post("search/locations", {"locationTypes": []})["metadata"]["pagination"]["totalCount"] == len(
        program.rows("locations")
    )


@pytest.mark.parametrize(
    "body",
    ["[]", "{", '"x"', '{"locationTypes": "Field"}', '{"locationTypes": [["Field"]]}', '{"page": -1}', "[" * 5000],
)
def test_a_search_of_another_shape_is_refused_with_a_text(program: Client, body: str) -> None:
    program.post("search/locations", body, 400)


def test_a_search_for_very_many_is_answered_or_refused_but_never_breaks(program: Client) -> None:
    for address, name in (("germplasm", "germplasmNames"), ("germplasm", "studyNames"), ("studies", "germplasmNames")):
        many = {name: [f"N{number}" for number in range(MOST_VALUES)]}
        assert program.post(f"search/{address}", many)["result"]["data"] == []
        many[name].append("one more")
        program.post(f"search/{address}", many, 400)


def test_a_search_needs_no_right_to_write(plant: House) -> None:
    client_of(plant, scopes=("read",)).post("search/programs", {})
    client_of(plant, scopes=("write",)).post("search/programs", {}, 403)


@pytest.mark.parametrize("address", ["locations/", "location", "Locations", "locations/a/b", ""])
def test_what_is_not_there_is_told_as_a_text_and_never_led_elsewhere(program: Client, address: str) -> None:
    program.get(address, 404)
    program.post(address, [], 404)


def test_an_address_outside_of_version_2_is_told_as_a_text_too(program: Client) -> None:
    for address in ("/brapi", "/brapi/v1", "/brapi/v1/germplasm"):
        answer = program.client.get(address, headers=program.headers)
        assert answer.status_code == 404 and answer["Content-Type"] == "application/json"


@pytest.mark.parametrize(
    "dbid", ["none", "%00", "9" * 300, "a b", "%F0%9F%8C%B1", "00000000-0000-0000-0000-000000000000"]
)
def test_a_dbid_that_is_not_here_is_404_in_the_path_and_an_empty_list_in_a_filter(program: Client, dbid: str) -> None:
    program.get(f"locations/{dbid}", 404)
    assert program.rows(f"locations?locationDbId={dbid}") == []


def test_the_dbids_of_another_station_are_not_here(plant: House, program: Client) -> None:
    stranger = client_of(house("OT"))
    for row in stranger.rows("locations"):
        program.get(f"locations/{row['locationDbId']}", 404)
    assert [row["abbreviation"] for row in stranger.rows("programs")] == ["OT"]


def test_a_method_that_is_not_offered_is_405_with_those_that_are(program: Client) -> None:
    answer = program.client.delete("/brapi/v2/locations", headers=program.headers)
    assert answer.status_code == 405 and answer.json().startswith("ERROR - ")
    assert answer["Allow"] == "GET"
    assert "Send GET" in program.post("locations", [], 405)


def test_a_body_of_another_kind_is_told_what_to_send(program: Client) -> None:
    answer = program.client.post("/brapi/v2/crosses", {"crossName": "C1"}, headers=program.headers)
    assert answer.status_code == 415 and "application/json" in answer.json()


def test_a_body_without_end_is_refused_before_it_is_kept(program: Client, settings: Any) -> None:
    settings.LARGEST_BODY = 1000
    assert (
        "1,000"
        in program.client.post(
            "/brapi/v2/crosses", "x" * 2000, content_type="application/json", headers=program.headers
        ).json()
    )


def test_no_address_opens_without_a_key_or_for_a_browsers_session(plant: House) -> None:
    browser = Browser()
    browser.force_login(plant.records)
    for route in ROUTES:
        address = f"/brapi/v2/{route.path.replace('{', '').replace('}', '')}"
        for method in route.methods:
            kind = {} if method == "GET" else {"content_type": "application/json"}
            answer = getattr(browser, method.lower())(address, **kind)
            assert answer.status_code == 401, (route.path, answer.content)
            assert answer.json().startswith("ERROR - ")


def test_each_address_wants_the_scope_of_what_it_does(plant: House) -> None:
    reads, writes = client_of(plant, scopes=("read",)), client_of(plant, scopes=("write",))
    for route in ROUTES:
        for method in route.methods:
            is_reading = method == "GET" or route.scope == "read"
            who = writes if is_reading else reads
            answer = getattr(who.client, method.lower())(
                f"/brapi/v2/{route.path.replace('{', '').replace('}', '')}", headers=who.headers,
                **({} if method == "GET" else {"data": "[]", "content_type": "application/json"}),
            )  # fmt: skip
            assert answer.status_code == 403, (route.path, method)
            assert "scope" in answer.json()


def test_a_key_of_few_scopes_learns_what_there_is(plant: House) -> None:
    tablet = client_of(plant, scopes=("observations:read", "observations:write"))
    tablet.get("serverinfo")
    tablet.get("commoncropnames")
    assert "lines:read" in tablet.get("germplasm", 403)
    client_of(plant, scopes=("observations:write",)).get("serverinfo", 403)


# Years, methods and variables are the same at every station.
SHARED = ("seasonDbId", "breedingMethodDbId", "observationVariableDbId", "traitDbId", "scaleDbId", "methodDbId")


def test_no_dbid_of_another_station_opens_anything_at_any_address(plant: House, program: Client) -> None:
    received(plant)
    program.post("lists", [{"listName": "x", "listType": "germplasm"}])
    stranger, of_list = client_of(house("OT")), {things.key: things.path for things in THINGS if things.has_one}
    asked = 0
    for route in ROUTES:
        for name in re.findall(r"\{(\w+)\}", route.path):
            if name in SHARED:
                continue
            for row in program.rows(f"{of_list[name]}?pageSize=2"):
                address = f"/brapi/v2/{route.path.replace(f'{{{name}}}', row[name])}"
                for method in route.methods:
                    body = {} if method == "GET" else {"data": "{}" if method == "PUT" else "[]"}
                    kind = {} if method == "GET" else {"content_type": "application/json"}
                    answer = getattr(stranger.client, method.lower())(address, headers=stranger.headers, **body, **kind)
                    assert answer.status_code == 404, (address, method, answer.content)
                    asked += 1
    assert asked > 10


def test_serverinfo_names_just_what_there_is(program: Client) -> None:
    calls = program.get("serverinfo")["result"]["calls"]
    assert {call["service"]: call["methods"] for call in calls} == {route.path: route.methods for route in ROUTES}
    assert all(call["versions"] == ["2.1"] and call["contentTypes"] == call["dataTypes"] for call in calls)
    assert program.get("serverinfo?contentType=image/png")["result"]["calls"] == []


def test_a_fault_of_ours_is_a_text_too(program: Client) -> None:
    program.client.raise_request_exception = False
    with mock.patch.object(core, "page_of", side_effect=ZeroDivisionError):
        says = program.get("commoncropnames", 500)
    assert "ZeroDivision" not in says


def test_scripts_of_named_sites_alone_may_ask(program: Client, settings: Any) -> None:
    settings.CORS_ALLOWED_ORIGINS = ["https://lab.example"]
    asks = {"Origin": "https://lab.example", "Access-Control-Request-Method": "GET"}
    granted = Browser().options("/brapi/v2/serverinfo", headers=asks)
    assert granted["Access-Control-Allow-Origin"] == "https://lab.example"
    assert "authorization" in granted["Access-Control-Allow-Headers"]
    elsewhere = program.client.get("/brapi/v2/serverinfo", headers={**program.headers, "Origin": "https://x.example"})
    assert not elsewhere.has_header("Access-Control-Allow-Origin")
    assert not Browser().options("/lots/", headers=asks).has_header("Access-Control-Allow-Origin")


def test_no_site_may_ask_unless_one_is_named(program: Client) -> None:
    answer = program.client.get("/brapi/v2/serverinfo", headers={**program.headers, "Origin": "https://lab.example"})
    assert answer.status_code == 200
    assert not answer.has_header("Access-Control-Allow-Origin")


def test_values_are_told_as_the_standard_wants_them() -> None:
    assert instant(NOW.astimezone()) == instant(NOW)
    assert str(instant(NOW)).endswith(".000Z")
    assert extra(count=3, kept=True, none=None, empty="") == {"count": "3", "kept": "true"}
    assert without_empty({"a": None, "b": "", "c": [], "d": {"e": None}, "f": [None, 0]}) == {"c": [], "f": [0]}
    assert made_id(1, "site", 2) == made_id(1, "site", 2) != made_id(2, "site", 1)
