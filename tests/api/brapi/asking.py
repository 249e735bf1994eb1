"""A program that speaks the Breeding API, as tests send its requests, and the standard's schemas where they are."""

import json
from functools import cache
from pathlib import Path
from typing import Any

from jsonschema import Draft202012Validator

from api.tokens import make_token
from tests.api.asking import Program
from tests.make import NOW, House

_STANDARD = Path(__file__).resolve().parents[4] / "shared" / "brapi"
SCHEMAS, ADDRESSES = _STANDARD / "schemas", _STANDARD / "endpoints.json"


class Client(Program):
    """A program with its key; addresses are written without /brapi/v2/."""

    def get(self, address: str, status: int = 200) -> Any:
        return self._read(self.client.get(f"/brapi/v2/{address}", headers=self.headers), status)

    def post(self, address: str, body: Any, status: int = 200, key: str = "") -> Any:
        return self._sent("post", address, body, status, key)

    def put(self, address: str, body: Any, status: int = 200, key: str = "") -> Any:
        return self._sent("put", address, body, status, key)

    def rows(self, address: str) -> list[Any]:
        data: list[Any] = self.get(address)["result"]["data"]
        return data

    def _sent(self, method: str, address: str, body: Any, status: int, key: str) -> Any:
        headers = {**self.headers, **({"Idempotency-Key": key} if key else {})}
        sent = body if isinstance(body, str | bytes) else json.dumps(body)
        send = getattr(self.client, method)
        answer = send(f"/brapi/v2/{address}", sent, content_type="application/json", headers=headers)
        return self._read(answer, status)

    def _read(self, answer: Any, status: int) -> Any:
        assert answer.status_code == status, answer.content
        assert answer["Content-Type"] == "application/json"
        body = answer.json()
        assert (set(body) == {"metadata", "result"}) if status == 200 else body.startswith("ERROR - "), body
        return body


def client_of(plant: House, role: str = "records", scopes: tuple[str, ...] = ("read", "write")) -> Client:
    """Give a program the key of one of a house's people."""
    return Client(make_token(plant.people[role], scopes=scopes, days=None, now=NOW))


@cache
def schema_of(path: str, method: str) -> Draft202012Validator | None:
    """Find the standard's schema of an answer: seedlots/{seedLotDbId} -> seedlots_seedlotdbid.get.response.json."""
    name = path.replace("/", "_").replace("{", "").replace("}", "").lower()
    file = SCHEMAS / f"{name}.{method}.response.json"
    return Draft202012Validator(json.loads(file.read_text(encoding="utf-8"))) if file.exists() else None


def search_fields(path: str) -> dict[str, Any]:
    """Give what the standard's body of a search may hold, each with a value of its kind."""
    file = SCHEMAS / f"search_{path}.post.request.json"
    return {name: _one_of(schema) for name, schema in _fields(json.loads(file.read_text(encoding="utf-8"))).items()}


def _fields(schema: dict[str, Any]) -> dict[str, Any]:
    found = dict(schema.get("properties", {}))
    for part in schema.get("allOf", ()):
        found |= _fields(part)
    return found


def _one_of(schema: dict[str, Any]) -> Any:
    kind = schema.get("type")
    if kind == "array":
        return [_one_of(schema["items"])]
    if kind == "object" or "allOf" in schema:
        return {name: _one_of(one) for name, one in _fields(schema).items()}
    known: dict[Any, Any] = {"boolean": True, "integer": 1, "number": 1}
    return known.get(kind, schema.get("enum", ["2024-01-01T00:00:00Z"])[0])


def faults_of(path: str, method: str, answer: Any) -> list[str]:
    """Say what the standard's schema has against an answer; nothing where there is no schema at hand."""
    schema = schema_of(path, method)
    return [f"{fault.json_path}: {fault.message[:200]}" for fault in schema.iter_errors(answer)] if schema else []


def wrongs_in(value: Any, where: str = "$") -> list[str]:
    """Find nulls, empty texts, and what is no text in additionalInfo, however deep."""
    if isinstance(value, dict):
        found = [wrong for name, one in value.items() for wrong in wrongs_in(one, f"{where}.{name}")]
        extra = value.get("additionalInfo", {})
        return found + [f"{where}.additionalInfo.{name}" for name, one in extra.items() if not isinstance(one, str)]
    if isinstance(value, list):
        return [wrong for index, one in enumerate(value) for wrong in wrongs_in(one, f"{where}[{index}]")]
    return [where] if value is None or value == "" else []
