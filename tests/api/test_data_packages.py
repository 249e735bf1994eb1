"""What an export holds, told as a Data Package: its columns, the address of its CSV, and both in one zip."""

import csv
import io
import json
import zipfile
from hashlib import sha256
from typing import Any

import pytest

from api.v1.columns import Column, Kind
from api.v1.data_packages import schema_of
from api.v1.shelves import SHELVES, Shelf
from inventory.models import Place
from tests.api.asking import Program, program_of
from tests.api.test_lists import streamed
from tests.make import House, house

pytestmark = pytest.mark.django_db
HERE = "http://testserver/api/v1"


@pytest.fixture
def plant() -> House:
    return house()


@pytest.fixture
def program(plant: House) -> Program:
    return program_of(plant.records, "read")


REFUSED = [
    ("format=csv", "format", "'format' is no parameter here"),
    ("limit=10", "limit", "'limit' is no parameter here"),
    ("plaec=A-01", "plaec", "Did you mean place"),
    ("id=x", "id", "Give a whole number"),
    ("place=A&place=B", "place", "place stands twice."),
    ("fields=place,colour", "fields", "'colour' is no field of this list."),
    ("ordering=name", "ordering", "Order it by id or place."),
    ("q=%00", "q", "words to look for"),
]


@pytest.mark.parametrize(("query", "field", "says"), REFUSED)
def test_what_the_csv_would_refuse_its_description_refuses(program: Program, query: str, field: str, says: str) -> None:
    problem = program.get(f"/api/v1/places/datapackage.json?{query}", 400)
    assert problem["errors"][0]["field"] == field
    assert says in problem["detail"]


def test_it_leads_to_the_csv_under_the_same_filters(plant: House, program: Program) -> None:
    Place.objects.create(station=plant.station, code="X-1", name="a, b & c")
    asked = "q=X-1&fields=place,name&ordering=-place"
    (table,) = program.get(f"/api/v1/places/datapackage.json?{asked}")["resources"]
    assert table["path"] == f"{HERE}/places/export?q=X-1&fields=place%2Cname&ordering=-place&format=csv"
    rows = list(csv.reader(io.StringIO(streamed(program, table["path"].removeprefix("http://testserver")))))
    assert rows == [[one["name"] for one in table["schema"]["fields"]], ["X-1", "a, b & c"]]
    assert "primaryKey" not in table["schema"]


def test_columns_are_told_with_type_unit_meaning_and_whether_they_may_be_empty(program: Program) -> None:
    schema = program.get("/api/v1/lots/datapackage.json?fields=id,lot,line,left,made_at,treated")["resources"][0][
        "schema"
    ]
    told = {one["name"]: one for one in schema["fields"]}
    assert told["left_kg"] == {
        "name": "left_kg", "type": "number", "unit": "kg", "description": "what is left of it at all places",
        "constraints": {"required": True},
    }  # fmt: skip
    assert (told["id"]["format"], told["made_at"]["type"], told["treated"]["type"]) == ("uuid", "datetime", "boolean")
    assert "constraints" not in told["line"]
    assert schema["primaryKey"] == ["id"]


def test_exact_numbers_bear_the_unit_of_their_name_and_may_be_empty() -> None:
    (field,) = schema_of([Column("moisture_pct", "moisture_pct", Kind.EXACT)])["fields"]
    assert field == {"name": "moisture_pct", "type": "number", "unit": "%"}


@pytest.mark.parametrize("shelf", SHELVES, ids=lambda shelf: shelf.name)
def test_every_list_has_one_whose_names_stand_above_its_csv(program: Program, shelf: Shelf) -> None:
    (table,) = program.get(f"/api/v1/{shelf.name}/datapackage.json")["resources"]
    above = streamed(program, f"/api/v1/{shelf.name}/export?format=csv").splitlines()[0]
    assert above == ",".join(one["name"] for one in table["schema"]["fields"])


def test_a_package_is_the_csv_with_its_description_in_one_zip(program: Program) -> None:
    answer = program.client.get("/api/v1/places/export?format=package&fields=place", headers=program.headers)
    assert answer["Content-Type"] == "application/zip"
    assert 'filename="places.zip"' in answer["Content-Disposition"]
    with zipfile.ZipFile(io.BytesIO(b"".join(answer.streaming_content))) as packed:
        table, said = packed.read("places.csv"), json.loads(packed.read("datapackage.json"))
    assert table.decode() == streamed(program, "/api/v1/places/export?format=csv&fields=place")
    (resource,) = said["resources"]
    known: dict[str, Any] = {
        "path": "places.csv", "bytes": len(table), "hash": f"sha256:{sha256(table).hexdigest()}",
    }  # fmt: skip
    assert {name: resource[name] for name in known} == known
    (alone,) = program.get("/api/v1/places/datapackage.json?fields=place")["resources"]
    assert {**alone, **known} == resource
