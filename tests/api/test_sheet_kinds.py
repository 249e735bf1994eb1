"""Kinds of sheet told to programs, and an empty workbook of each."""

import io
from typing import Any

import openpyxl
import pytest
from django.urls import reverse

from api.parsers import XLSX
from inventory.importing.kinds import all_kinds
from inventory.models import Place
from tests.api.asking import Program, program_of
from tests.make import House, house

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    return house()


@pytest.fixture
def program(plant: House) -> Program:
    return program_of(plant.records, "sheets:read")


@pytest.mark.parametrize(
    ("address", "status", "says"),
    [
        ("sheet-kinds?kind=intake", 400, "'kind' is no parameter here"),
        ("sheet-kinds/intaek", 404, "Did you mean intake"),
        ("sheet-kinds/%00", 404, "is no kind of sheet"),
        ("sheet-kinds/intaek/template", 404, "Did you mean intake"),
        ("sheet-kinds/intake/template?format=csv", 400, "'format' is no parameter here"),
        ("sheet-kinds/intake/template/", 404, "Take the slash from its end"),
    ],
)
def test_what_is_not_there_says_what_is(program: Program, address: str, status: int, says: str) -> None:
    assert says in program.get(f"/api/v1/{address}", status)["detail"]


def test_every_kind_is_listed_with_its_columns_units_and_words(program: Program) -> None:
    kinds = {one["kind"]: one for one in program.get("/api/v1/sheet-kinds")["results"]}
    assert set(kinds) == set(all_kinds("ST"))
    columns = {one["column"]: one for one in kinds["intake"]["columns"]}
    assert (columns["gross"]["heading"], columns["gross"]["unit"]) == ("Gross (kg)", "kg")
    assert {"kg", "lb"} <= set(columns["gross"]["units"])
    assert "Poids brut" in columns["gross"]["read_under"]["fr"]
    assert columns["date"]["needed"] is True
    assert ["net", "gross"] in kinds["intake"]["one_of"]
    assert program.get("/api/v1/sheet-kinds/intake") == kinds["intake"]


def cells(content: bytes) -> list[list[tuple[Any, ...]]]:
    return [list(sheet.iter_rows(values_only=True)) for sheet in openpyxl.load_workbook(io.BytesIO(content))]


def test_the_empty_workbook_is_the_one_that_pages_give(plant: House, program: Program) -> None:
    program.client.force_login(plant.records)
    for one in program.get("/api/v1/sheet-kinds")["results"]:
        address = one["template"].removeprefix("http://testserver")
        answer = program.client.get(address, headers=program.headers)
        assert (answer.status_code, answer["Content-Type"]) == (200, XLSX)
        assert cells(answer.content) == cells(program.client.get(reverse("sheet-template", args=[one["kind"]])).content)
        assert list(cells(answer.content)[0][0]) == [column["heading"] for column in one["columns"]]


def test_a_workbook_offers_the_stations_own_names_and_is_sent_again_when_they_change(
    plant: House, program: Program
) -> None:
    Place.objects.create(station=house("OT").station, code="THEIRS")
    address = "/api/v1/sheet-kinds/intake/template"
    first = program.client.get(address, headers=program.headers)
    known = {**program.headers, "If-None-Match": first["ETag"]}
    assert program.client.get(address, headers=known).status_code == 304
    Place.objects.create(station=plant.station, code="OURS")
    second = program.client.get(address, headers=known)
    chosen = {value for row in cells(second.content)[-1] for value in row}
    assert "OURS" in chosen
    assert "THEIRS" not in chosen
