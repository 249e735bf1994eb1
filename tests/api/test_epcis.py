"""A lot's history for other computers: by the API under two names of its kind, and as a file from its trace's page."""

import json

import pytest
from django.test import Client

from inventory.models import Lot
from tests.api.asking import Program, program_of
from tests.inventory.queries.epcis_reading import adds_up, wrongs
from tests.make import House, cleaned, house, received

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    return house()


@pytest.fixture
def lot(plant: House) -> Lot:
    return cleaned(plant, received(plant), "798", "741.2")


@pytest.fixture
def program(plant: House) -> Program:
    return program_of(plant.intake, "read")


def test_the_document_is_valid_and_adds_up(program: Program, lot: Lot) -> None:
    document = program.get(f"/api/v1/lots/{lot}/epcis")
    assert wrongs(document) == []
    assert adds_up(document)
    assert document["hilum:about"]["address"] == f"http://testserver/s/{str(lot).replace('-', '')}"


def test_a_lot_may_be_named_by_its_id(program: Program, lot: Lot) -> None:
    assert program.get(f"/api/v1/lots/{lot.uid}/epcis")["hilum:about"]["lot"] == lot.number
    program.get("/api/v1/lots/00000000-0000-7000-8000-000000000000/epcis", 404)


def test_it_is_linked_data_to_whoever_asks_for_that(program: Program, lot: Lot) -> None:
    headers = {**program.headers, "Accept": "application/ld+json"}
    answer = program.client.get(f"/api/v1/lots/{lot}/epcis", headers=headers)
    assert answer["Content-Type"] == "application/ld+json"
    assert json.loads(answer.content)["type"] == "EPCISDocument"


def test_a_lot_that_is_not_there_is_said(program: Program) -> None:
    assert "24-0009-9" in program.get("/api/v1/lots/24-0009-9/epcis", 404)["detail"]


def test_a_parameter_that_is_not_read_is_said(program: Program, lot: Lot) -> None:
    program.get(f"/api/v1/lots/{lot}/epcis?forward=true", 400)


def test_the_trace_page_of_a_lot_leads_to_the_file(client: Client, plant: House, lot: Lot) -> None:
    client.force_login(plant.line)
    assert f'href="/lots/{lot}/epcis.jsonld"' in client.get(f"/trace/{lot}/").content.decode()
    assert "epcis" not in client.get("/trace/ST24-N-1-1/").content.decode()
    file = client.get(f"/lots/{lot}/epcis.jsonld")
    assert file["Content-Disposition"] == f'attachment; filename="{lot}-epcis.jsonld"'
    assert wrongs(json.loads(file.content)) == []
    assert client.get("/lots/24-0009-9/epcis.jsonld").status_code == 404
