"""The description of the API: as committed, whole, and true on the demo season."""

import io
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from django.contrib.auth.models import User
from django.test import Client
from drf_spectacular.generators import SchemaGenerator
from drf_spectacular.renderers import OpenApiYamlRenderer
from drf_spectacular.validation import validate_schema

from api.jobs.doing import do_next_job
from api.pages import DOCUMENT
from api.v1.acts import offered
from api.v1.examples import AFTER, EXAMPLES
from fixtures_demo.telling import build
from inventory.models import Station
from inventory.queries.verifying import verify
from tests.api.asking import Program, program_of
from tests.api.paths import COMMITTED, EMPTY_IN_THE_SEASON, NEVER_THERE, PATHS, address_for, send_example
from tests.fixtures_demo.test_season import NOT_IN_THE_SEASON
from tests.make import House, house, received


def test_the_committed_file_is_what_the_code_says() -> None:
    made = SchemaGenerator().get_schema(request=None, public=True)
    text = OpenApiYamlRenderer().render(made, renderer_context={}).decode()
    assert text == DOCUMENT.read_text(encoding="utf-8"), "run manage.py spectacular --file api/openapi.yaml"


@pytest.mark.outside("OpenAPI Specification 3.1, 2021: its own JSON Schema, as shipped with drf-spectacular")
def test_it_is_openapi() -> None:
    assert COMMITTED["openapi"].startswith("3.1.")
    validate_schema(COMMITTED)


def test_every_path_is_whole_and_every_write_has_an_example() -> None:
    assert all(path.startswith("/api/v1") for path in PATHS)
    for path, methods in PATHS.items():
        if path.startswith("/api/v1/acts/"):
            assert methods["post"]["requestBody"]["content"]["application/json"]["example"], path
    assert set(EXAMPLES) == set(offered())
    assert PATHS["/api/v1/lots/receive"]["post"]["requestBody"]["content"]["application/json"]["example"]


@pytest.fixture
def plants(db: None) -> Iterator[tuple[House, House]]:
    mine, other = house(), house("OT")
    received(mine)
    yield mine, other


def in_turn() -> list[tuple[str, str, dict[str, Any]]]:
    """All methods of all addresses: what asks before what changes the season, what throws away at last."""
    each = [(path, method, told) for path, methods in PATHS.items() for method, told in methods.items()]
    first = [("/api/v1/webhooks/{name}/test", "post"), ("/api/v1/webhooks", "post"), ("/api/v1/jobs", "post")]
    turn = {one: -index for index, one in enumerate(first, 1)}
    return sorted(each, key=lambda one: (turn.get(one[:2], 0), one[1] == "delete", *late(one[0]), one[0], one[1]))


def late(path: str) -> tuple[bool, bool]:
    """Say whether it is read of what the acts only make, and whether it is an act."""
    is_made_by_acts = path.startswith(EMPTY_IN_THE_SEASON) and "{name}" in path
    return is_made_by_acts, "/acts/" in path


@pytest.mark.slow
@pytest.mark.django_db
def test_every_example_works_on_the_demo_season_and_the_books_stand_after_it(settings: Any, tmp_path: Path) -> None:
    settings.DATA_DIR = tmp_path  # where sheets are kept aside
    build()
    station = Station.objects.get()
    keys = {name: program_of(User.objects.get(username=name)) for name in ("records", "breeder")}
    for path, method, told in in_turn():
        if (path, method) == ("/api/v1/jobs/{name}/result", "get"):
            assert do_next_job(is_beaten=False) == 1
        verb = path.rpartition("/")[2].replace("-", " ")
        who = keys["breeder" if verb == "decide" else "records"]
        if method == "get":
            answer = who.client.get(address_for(who, path), headers=who.headers)
            if path.startswith(NEVER_THERE) and "{name}" in path:
                assert answer.status_code == 404, path
                continue
            assert answer.status_code == 200, (path, answer.content)
            assert answer.streaming or is_known_again(who, path, told, answer["ETag"]), path
            assert answer.streaming is ("304" not in told["responses"]), path
            continue
        if verb in AFTER:
            before, words = AFTER[verb]
            who.post(f"/api/v1/acts/{before}", words)
        answer = send_example(who, address_for(who, path), told, method)
        status = (422,) if verb in NOT_IN_THE_SEASON else (200, 201, 202, 204)
        assert answer.status_code in status, (path, answer.content)
    assert verify(station).is_whole


def is_known_again(who: Program, path: str, told: dict[str, Any], tag: str) -> bool:
    again = who.client.get(address_for(who, path), headers={**who.headers, "If-None-Match": tag})
    other = who.client.get(address_for(who, path), headers={**who.headers, "If-None-Match": '"another"'})
    named = any(one["name"] == "If-None-Match" for one in told["parameters"])
    return (again.status_code, again.content, other.status_code, named) == (304, b"", 200, True)


def test_people_who_are_signed_in_read_it_offline(client: Client, plants: tuple[House, House]) -> None:
    station, _other = plants
    assert client.get("/api/docs").status_code == 302
    client.force_login(station.intake)
    page = client.get("/api/docs")
    assert page.status_code == 200
    assert "http" not in page.content.decode().replace("http-equiv", "")
    assert "script-src 'self'" in page["Content-Security-Policy"]
    assert yaml.safe_load(io.BytesIO(client.get("/api/openapi.yaml").content)) == COMMITTED


def test_every_address_but_the_first_says_what_is_read_there() -> None:
    said = {path: one["get"]["summary"] for path, one in COMMITTED["paths"].items() if "get" in one}
    assert [path for path, summary in said.items() if summary == "All addresses"] == ["/api/v1"]
    lists = [path for path, summary in said.items() if summary.startswith("List: ")]
    assert {"/api/v1/devices", "/api/v1/readings", "/api/v1/webhooks", "/api/v1/jobs"} <= set(lists)


def test_what_a_field_takes_is_said_where_its_type_does_not() -> None:
    mute = [
        f"{path} {name}"
        for path, one in COMMITTED["paths"].items()
        for name, field in _body_fields(one.get("post", {})).items()
        if not field.keys() & {"type", "description", "$ref", "enum", "anyOf"}
    ]
    assert mute == []


def _body_fields(operation: dict[str, Any]) -> dict[str, Any]:
    content = operation.get("requestBody", {}).get("content", {}).get("application/json", {})
    fields: dict[str, Any] = content.get("schema", {}).get("properties", {})
    return fields
