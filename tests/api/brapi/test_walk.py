"""Every address of the Breeding API on the demo season: held against the standard's schemas, and no null anywhere."""

import re
from collections.abc import Iterator
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import TestCase

from api.brapi.urls import ROUTES
from api.tokens import make_token
from fixtures_demo.telling import build
from tests.api.brapi.asking import SCHEMAS, Client, faults_of, schema_of, wrongs_in
from tests.make import NOW

_OF_EACH = 3
# Parameters that tell more of each row than is told without them.
_MORE = {
    "pedigree": "includeParents=true&includeSiblings=true&includeProgeny=true&includeFullTree=true",
    "crossingprojects": "includePotentialParents=true",
    "germplasm/{germplasmDbId}/pedigree": "includeSiblings=true",
    "observationunits": "includeObservations=true",
}


def _lists() -> dict[str, str]:
    """Name the list in which each DbId of a path is found: germplasmDbId -> germplasm."""
    found = (re.fullmatch(r"([^{}]+)/\{(\w+)\}", route.path) for route in ROUTES)
    return {match[2]: match[1] for match in found if match}


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

    @pytest.mark.outside("BrAPI 2.1 JSON schemas at commit 0c30597, 2024-09-11, MIT licence")
    def test_every_answer_is_as_the_standards_schema_has_it(self) -> None:
        if not SCHEMAS.exists():
            pytest.skip("the standard's schemas are not beside the project, so no answer is held against them")
        for path, method, answer in self.answers():
            assert schema_of(path, method) is not None, f"the standard has no {method} {path}"
            assert faults_of(path, method, answer) == [], path
