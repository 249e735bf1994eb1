"""Every address of the Breeding API on the demo season: held against the standard's schemas, and no null anywhere."""

import json
import re
from collections.abc import Iterator
from itertools import product
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import TestCase

from api.brapi.studies import STUDY_TYPES
from api.brapi.urls import ROUTES, THINGS
from api.tokens import make_token
from fixtures_demo.telling import build
from inventory.queries.variables import variables_by_id
from tests.api.brapi.asking import ADDRESSES, SCHEMAS, Client, faults_of, schema_of, search_fields, wrongs_in
from tests.make import NOW

_OF_EACH = 3
# Parameters that tell more of each row than is told without them.
_MORE = {
    "pedigree": "includeParents=true&includeSiblings=true&includeProgeny=true&includeFullTree=true",
    "crossingprojects": "includePotentialParents=true",
    "germplasm/{germplasmDbId}/pedigree": "includeSiblings=true",
    "observationunits": "includeObservations=true",
}


_NOT_TOLD = ("attributes", "attributevalues", "events", "images", "ontologies", "people")
# What no act of ours enters or changes by a program of this standard; its own page or address does, where there is one.
_NO_ACT = {
    "POST": ("crossingprojects", "locations", "methods", "pedigree", "programs", "scales", "seasons", "studies",
             "traits", "trials", "variables"),
    "PUT": ("crosses", "crossingprojects", "germplasm", "locations", "methods", "pedigree", "plannedcrosses",
            "programs", "scales", "seasons", "studies", "traits", "trials", "variables"),
}  # fmt: skip


def why_left_out(path: str, method: str) -> str | None:
    """Say why an address of the standard is not here; None where nothing says so."""
    what, _slash, rest = path.removeprefix("search/").removeprefix("delete/").partition("/")
    if what in _NOT_TOLD:
        return "nothing here is such a thing, or it is of people or pictures, which our own API tells"
    if path.startswith("search/") and rest:
        return "searches answer at once, so no results are saved"
    if path == "delete/observations":
        return "a note is taken back as an act with its reason, by our own API"
    return "no act fits" if what in _NO_ACT.get(method, ()) else None


def _lists() -> dict[str, str]:
    """Name the list in which each DbId of a path is found: germplasmDbId -> germplasm."""
    found = (re.fullmatch(r"([^{}]+)/\{(\w+)\}", route.path) for route in ROUTES)
    return {match[2]: match[1] for match in found if match}


def _leaves(value: Any, name: str = "") -> Iterator[tuple[str, Any]]:
    if isinstance(value, dict):
        for key, one in value.items():
            yield from _leaves(one, key)
    elif isinstance(value, list):
        for one in value:
            yield from _leaves(one, name)
    else:
        yield name, value


@pytest.mark.slow
class TestWalk(TestCase):
    """One build for all of these: they only read."""

    @classmethod
    def setUpTestData(cls) -> None:
        build()
        person = User.objects.get(username="records")
        cls.client_of_records = Client(make_token(person, scopes=("read",), days=None, now=NOW))

    def answers(self) -> Iterator[tuple[str, str, Any]]:
        """Ask every address that reads, with the first few DbIds of its list where it has one in it."""
        who = self.client_of_records
        for route in ROUTES:
            if route.get and route.content_types == ("application/json",):
                for address in self.addresses(route.path):
                    more = _MORE.get(route.path, "")
                    yield route.path, "get", who.get(f"{address}?{more}" if more else address)
            if route.path.startswith("search/"):
                yield route.path, "post", who.post(route.path, {"pageSize": 50, "page": None})

    def addresses(self, path: str) -> Iterator[str]:
        name = re.search(r"\{(\w+)\}", path)
        if name is None:
            yield path
            return
        rows = self.client_of_records.rows(f"{_lists()[name[1]]}?pageSize={_OF_EACH}")
        yield from (path.replace(name[0], row[name[1]]) for row in rows)

    def test_no_answer_holds_a_null_or_an_empty_text_or_more_than_text_in_its_extras(self) -> None:
        asked = {}
        for path, method, answer in self.answers():
            asked[f"{method} {path}"] = wrongs_in(answer)
        assert len(asked) >= len([route for route in ROUTES if route.get])
        assert {path: wrongs for path, wrongs in asked.items() if wrongs} == {}

    def test_ids_are_texts_that_a_path_can_hold_and_the_crop_goes_by_one_name(self) -> None:
        crop = self.client_of_records.rows("commoncropnames")
        for path, _method, answer in self.answers():
            for name, value in _leaves(answer):
                assert not name.endswith("DbId") or (isinstance(value, str) and value and "/" not in value), (
                    path,
                    name,
                )
                assert name != "commonCropName" or [value] == crop, path

    def test_a_study_begins_at_an_instant_with_its_zone_and_a_trial_on_a_day(self) -> None:
        studies = [row["startDate"] for row in self.client_of_records.rows("studies") if "startDate" in row]
        trials = [row["startDate"] for row in self.client_of_records.rows("trials")]
        assert studies and all(re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z", one) for one in studies)
        assert trials and all(re.fullmatch(r"\d{4}-\d\d-\d\d", one) for one in trials)
        first = min(trials)
        assert len(self.client_of_records.rows(f"trials?searchDateRangeEnd={first}&sortBy=startDate")) == trials.count(
            first
        )
        latest = self.client_of_records.rows("trials?sortBy=startDate&sortOrder=desc")
        assert [row["startDate"] for row in latest] == sorted(trials, reverse=True)

    def test_a_study_is_found_by_trial_place_season_kind_and_what_was_sown(self) -> None:
        who = self.client_of_records
        studies = who.rows("studies?studyType=Trial")
        one = next(study for study in studies if study["trialName"])
        for filtered in ("trialDbId", "locationDbId"):
            same = [study["studyDbId"] for study in studies if study[filtered] == one[filtered]]
            rows = who.rows(f"studies?studyType=trial&{filtered}={one[filtered]}")
            assert [row["studyDbId"] for row in rows] == same
        season = one["seasons"][0]
        assert all(row["seasons"] == [season] for row in who.rows(f"studies?seasonDbId={season}"))
        assert [row["trialDbId"] for row in who.rows(f"trials?studyDbId={one['studyDbId']}")] == [one["trialDbId"]]
        for line in who.rows(f"germplasm?studyDbId={one['studyDbId']}&pageSize=2"):
            found = who.rows(f"studies?germplasmDbId={line['germplasmDbId']}")
            assert one["studyDbId"] in [row["studyDbId"] for row in found]
            named = who.post("search/studies", {"germplasmNames": [line["germplasmName"]]})["result"]["data"]
            assert named == found
        assert {row["studyType"] for row in who.rows("studies")} == set(STUDY_TYPES)
        noted = next(study for study in who.rows("studies") if study.get("observationVariableDbIds"))
        variable = noted["observationVariableDbIds"][0]
        assert noted in who.rows(f"studies?observationVariableDbId={variable}")
        name = variables_by_id()[variable].name
        assert noted in who.post("search/studies", {"observationVariableNames": [name]})["result"]["data"]
        assert all("observationVariableDbIds" in row for row in who.rows(f"studies?observationVariableDbId={variable}"))
        who.get("studies?sortBy=colour", 400)
        who.get("studies?active=perhaps", 400)

    @pytest.mark.outside("BrAPI 2.1 addresses and parameters at commit 0c30597, 2024-09-11, MIT licence")
    def test_addresses_are_the_standards_and_read_every_parameter_that_it_names(self) -> None:
        if not ADDRESSES.exists():
            pytest.skip("the standard's addresses are not beside the project, so ours are not held against them")
        told = json.loads(ADDRESSES.read_text(encoding="utf-8"))
        known = {(one["path"].strip("/"), one["method"]): one["parameters"] for one in told}
        offered = {(route.path, method) for route in ROUTES for method in route.methods}
        assert offered <= set(known)
        unread = []
        for path, method in sorted(offered):
            names = {one["name"]: one["schema"].get("type") for one in known[path, method] if one["in"] == "query"}
            if method == "GET" and names:
                address = next(iter(self.addresses(path)))
                unread += [(path, name) for name, kind in names.items() if self.is_unread(address, name, kind)]
        assert unread == []

    def is_unread(self, address: str, name: str, kind: str) -> bool:
        value = {"boolean": "true", "integer": "1"}.get(kind, "2024-01-01T00:00:00Z")
        answer = self.client_of_records.client.get(
            f"/brapi/v2/{address}?{name}={value}", headers=self.client_of_records.headers
        )
        assert answer.status_code in (200, 400), (address, name, answer.content)
        if answer.status_code == 400 or answer["Content-Type"] != "application/json":
            return False
        return any("is not read" in status["message"] for status in answer.json()["metadata"]["status"])

    @pytest.mark.outside("BrAPI 2.1 addresses at commit 0c30597, 2024-09-11, MIT licence")
    def test_every_address_of_the_standard_is_here_or_left_out_for_a_reason(self) -> None:
        if not ADDRESSES.exists():
            pytest.skip("the standard's addresses are not beside the project, so ours are not held against them")
        told = json.loads(ADDRESSES.read_text(encoding="utf-8"))
        offered = {(route.path, method) for route in ROUTES for method in route.methods}
        missing = {(one["path"].strip("/"), one["method"]) for one in told} - offered
        unsaid = {one for one in missing if why_left_out(*one) is None}
        assert unsaid == set()
        # Each list that is told has its detail address, wherever the standard has one.
        lists = {path for path, method in offered if method == "GET"}
        details = [path for path, method in missing if method == "GET" and not path.startswith("search/")]
        assert [path for path in details if path.partition("/{")[0] in lists] == []

    @pytest.mark.outside("BrAPI 2.1 bodies of searches at commit 0c30597, 2024-09-11, MIT licence")
    def test_a_search_reads_all_that_its_body_may_hold(self) -> None:
        if not SCHEMAS.exists():
            pytest.skip("the standard's schemas are not beside the project, so no search is held against them")
        unread = set()
        searched = [route.path.removeprefix("search/") for route in ROUTES if route.path.startswith("search/")]
        for path in searched:
            for name, value in search_fields(path).items():
                status = self.client_of_records.post(f"search/{path}", {name: value})["metadata"]["status"]
                unread |= {(path, name) for one in status if "is not read" in one["message"]}
        assert len(searched) >= 10
        # Nothing here has a height above the sea or a point on the earth.
        assert unread == {("locations", name) for name in ("altitudeMin", "altitudeMax", "coordinates")}

    def test_each_list_told_page_by_page_holds_each_row_once(self) -> None:
        for things in THINGS:
            whole = self.client_of_records.rows(things.path)
            size, paged = max(1, -(-len(whole) // 3)), []
            for page in range(4):
                paged += self.client_of_records.rows(f"{things.path}?pageSize={size}&page={page}")
            assert paged == whole, things.path
            assert len({row[things.key] for row in whole}) == len(whole), things.path

    def test_a_search_by_level_finds_what_is_told_of_that_level(self) -> None:
        who = self.client_of_records
        units = who.rows("observationunits")
        for name in ("plot", "sample"):
            found = who.post("search/observationunits", {"observationLevels": [{"levelName": name, "levelOrder": 1}]})
            wanted = [u for u in units if u["observationUnitPosition"]["observationLevel"]["levelName"] == name]
            assert found["result"]["data"] == wanted and wanted
        both = who.post(
            "search/observationunits", {"observationLevels": [{"levelName": "plot"}, {"levelName": "sample"}]}
        )
        assert both["result"]["data"] == units
        second = [{"levelName": "rep", "levelCode": "2"}]
        found = who.post("search/observationunits", {"observationLevelRelationships": second})["result"]["data"]
        assert found == [u for u in units if second[0] in u["observationUnitPosition"]["observationLevelRelationships"]]
        assert found
        study = next(one for one in who.rows("studies") if one["studyType"] == "Grading")
        above = {"observationLevelRelationships": [{"levelName": "study", "levelCode": study["studyDbId"]}]}
        seen = who.post("search/observations", {**above, "observationLevels": [{"levelName": "sample"}]})
        rows = [row for row in who.rows("observations") if row["studyDbId"] == study["studyDbId"]]
        assert seen["result"]["data"] == rows and rows
        who.post("search/observations", {"observationLevels": {"levelName": "plot"}}, 400)
        who.post("search/observations", {"observationLevels": [{"levelName": "plot"}] * 21}, 400)

    def test_names_find_what_ids_find(self) -> None:
        who = self.client_of_records
        study = next(one for one in who.rows("studies") if one.get("observationVariableDbIds"))
        unit = who.rows(f"observationunits?studyDbId={study['studyDbId']}&pageSize=1")[0]
        for path in ("observationunits", "observations", "variables"):
            by_id = who.rows(f"{path}?studyDbId={study['studyDbId']}")
            assert who.post(f"search/{path}", {"studyNames": [study["studyName"].upper()]})["result"]["data"] == by_id
            assert by_id
        for path, kind in product(("observationunits", "observations"), ("germplasm", "location", "trial")):
            by_id = who.rows(f"{path}?{kind}DbId={unit[f'{kind}DbId']}")
            assert who.post(f"search/{path}", {f"{kind}Names": [unit[f"{kind}Name"]]})["result"]["data"] == by_id, kind
            assert by_id
        seen = who.rows("observations")[0]
        for name in ("observationVariableDbId", "observationVariableName"):
            units = {row["observationUnitDbId"] for row in who.rows("observations") if row[name] == seen[name]}
            found = who.post("search/observationunits", {f"{name}s": [seen[name]]})["result"]["data"]
            assert {row["observationUnitDbId"] for row in found} == units

    @pytest.mark.outside("BrAPI 2.1 JSON schemas at commit 0c30597, 2024-09-11, MIT licence")
    def test_every_answer_is_as_the_standards_schema_has_it(self) -> None:
        if not SCHEMAS.exists():
            pytest.skip("the standard's schemas are not beside the project, so no answer is held against them")
        for path, method, answer in self.answers():
            assert schema_of(path, method) is not None, f"the standard has no {method} {path}"
            assert faults_of(path, method, answer) == [], path
