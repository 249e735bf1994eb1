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

from api.pages import DOCUMENT
from api.tokens import make_token
from api.v1.acts import offered
from api.v1.examples import AFTER, EXAMPLES
from fixtures_demo.telling import build
from inventory.models import Operation, Station
from inventory.queries.verifying import verify
from tests.api.asking import Program
from tests.fixtures_demo.test_season import NOT_IN_THE_SEASON
from tests.make import NOW, House, house, received

WORKED_OUT = ("/api/v1/figures", "/api/v1/outcome")  # posted because it is long; nothing is kept
COMMITTED: dict[str, Any] = yaml.safe_load(DOCUMENT.read_text(encoding="utf-8"))
PATHS: dict[str, dict[str, Any]] = COMMITTED["paths"]


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


def _address(path: str, methods: dict[str, Any]) -> str:
    told = methods.get("get") or next(iter(methods.values()))
    words = {one["name"]: one.get("example") for one in told.get("parameters", ())}
    return path.replace("{name}", str(words.get("name"))) + _query(methods.get("get", {}))


def _named(who: Program, path: str) -> str:
    """Name rows that have no name but their key by one that is there: a database counts on after other tests."""
    kind = path.removeprefix("/api/v1/").partition("/")[0]
    if "{name}" in path and kind in ("stock", "portions", "holds"):
        return path.replace("{name}", str(who.get(f"/api/v1/{kind}?limit=1")["results"][0]["id"]))
    return _address(path, PATHS[path])


def _query(told: dict[str, Any]) -> str:
    needed = [one for one in told.get("parameters", ()) if one["in"] == "query" and one.get("required")]
    said = "&".join(f"{one['name']}={one.get('example') or one['schema']['enum'][0]}" for one in needed)
    return f"?{said}" if said else ""


@pytest.mark.parametrize("path", sorted(PATHS))
def test_without_a_key_or_with_one_of_the_wrong_scope_no_address_opens(plants: tuple[House, House], path: str) -> None:
    station, _other = plants
    reads = Program(make_token(station.records, scopes=("read",), days=None, now=NOW))
    writes = Program(make_token(station.records, scopes=("write",), days=None, now=NOW))
    before = Operation.objects.count()
    for method in PATHS[path]:
        address = _address(path, PATHS[path])
        send = getattr(Client(), method)
        assert send(address, **({"content_type": "application/json"} if method != "get" else {})).status_code == 401
        if method == "get":
            writes.get(address, 403)
        else:
            without = writes if path.startswith(WORKED_OUT) or path.endswith("/outcome") else reads
            assert without.send(address, {}, method=method).status_code == 403
    assert Operation.objects.count() == before


@pytest.mark.parametrize("role", ["intake", "bench", "breeder", "records"])
@pytest.mark.parametrize("path", sorted(path for path in PATHS if "get" in PATHS[path]))
def test_nothing_of_one_station_is_read_with_a_key_of_another(
    plants: tuple[House, House], path: str, role: str
) -> None:
    _station, other = plants
    stranger = Program(make_token(other.people[role], scopes=("read",), days=None, now=NOW))
    kind = path.removeprefix("/api/v1/").split("/")[0]
    address = _address(path, PATHS[path])
    if "{name}" in path:
        name = {"lots": "24-0001-5", "operations": "1", "samples": "G1"}.get(kind, "1")
        address = path.replace("{name}", name) + _query(PATHS[path]["get"])
    if path in ("/api/v1/trace", "/api/v1/recall"):
        address = f"{path}?of=24-0001-5"
    answer = stranger.client.get(address, headers=stranger.headers)
    body = b"".join(answer.streaming_content) if answer.streaming else answer.content
    assert answer.status_code in (200, 404, 422)
    assert b"records-st" not in body
    if "{name}" in path and kind not in ("rule-sets",):
        assert answer.status_code in (404, 422), body
    if kind in ("lots", "stock", "operations", "bags") and answer.status_code == 200:
        assert b"24-0001-5" not in body and b"intake-st" not in body


def in_turn() -> list[tuple[str, str, dict[str, Any]]]:
    """All methods of all addresses: what asks before what changes the season, what throws away at last."""
    each = [(path, method, told) for path, methods in PATHS.items() for method, told in methods.items()]
    return sorted(each, key=lambda one: (one[1] == "delete", "/acts/" in one[0], one[0], one[1]))


def _sent(who: Program, address: str, told: dict[str, Any], method: str) -> Any:
    """Send the example of a write with the example of each header that it needs."""
    headers = {one["name"].replace("-", "_"): one["example"] for one in told["parameters"] if one["in"] == "header"}
    key = headers.pop("Idempotency_Key", "")
    content = told.get("requestBody", {}).get("content", {}).get("application/json", {})
    return who.send(address, content.get("example", ""), key, method, **headers)


@pytest.mark.slow
@pytest.mark.django_db
def test_every_example_works_on_the_demo_season_and_the_books_stand_after_it(settings: Any, tmp_path: Path) -> None:
    settings.DATA_DIR = tmp_path  # where sheets are kept aside
    build()
    station = Station.objects.get()
    keys = {
        name: Program(make_token(User.objects.get(username=name), scopes=("read", "write"), days=None, now=NOW))
        for name in ("records", "breeder")
    }
    for path, method, told in in_turn():
        verb = path.rpartition("/")[2].replace("-", " ")
        who = keys["breeder" if verb == "decide" else "records"]
        if method == "get":
            answer = who.client.get(_named(who, path), headers=who.headers)
            assert answer.status_code == 200, (path, answer.content)
            continue
        if verb in AFTER:
            before, words = AFTER[verb]
            who.post(f"/api/v1/acts/{before}", words)
        answer = _sent(who, _named(who, path), told, method)
        status = (422,) if verb in NOT_IN_THE_SEASON else (200, 201, 204)
        assert answer.status_code in status, (path, answer.content)
    assert verify(station).is_whole


def test_people_who_are_signed_in_read_it_offline(client: Client, plants: tuple[House, House]) -> None:
    station, _other = plants
    assert client.get("/api/docs").status_code == 302
    client.force_login(station.intake)
    page = client.get("/api/docs")
    assert page.status_code == 200
    assert "http" not in page.content.decode().replace("http-equiv", "")
    assert "script-src 'self'" in page["Content-Security-Policy"]
    assert yaml.safe_load(io.BytesIO(client.get("/api/openapi.yaml").content)) == COMMITTED
