"""Whatever is sent, the Breeding API answers with what it has or with a sentence: never a fault of ours, never HTML."""

from itertools import cycle
from typing import Any
from urllib.parse import quote

import pytest

from api.brapi.asked import plural_of
from api.brapi.urls import THINGS
from tests.api.brapi.asking import Client, client_of
from tests.make import House, house, received

pytestmark = pytest.mark.django_db
WORDS = (
    "\0",
    "x" * 5_000,
    "٣",
    "-1",
    "9" * 30,
    "' OR 1=1 --",
    "%",
    "\ud83c\udf31",
    "true",
    "2024-02-31",
    "1e400",
    "[]",
)
VALUES: tuple[Any, ...] = (
    5, -1.5, True, {}, {"a": {"b": []}}, [], [None], [5], [[]], [{}], ["\0"], ["\ud800"], "x", "", 10**40,
    ["x" * 5_000],
)  # fmt: skip


@pytest.fixture
def plant() -> House:
    plant = house()
    received(plant)
    return plant


@pytest.fixture
def program(plant: House) -> Client:
    return client_of(plant)


def send(program: Client, method: str, address: str, body: Any = None) -> None:
    sends = getattr(program.client, method)
    words = {} if body is None else {"data": body, "content_type": "application/json"}
    answer = sends(f"/brapi/v2/{address}", headers=program.headers, **words)
    assert answer.status_code in (200, 400, 404, 405), (method, address, body, answer.content)
    assert answer["Content-Type"] == "application/json"


@pytest.mark.parametrize("things", THINGS, ids=lambda things: things.path)
def test_a_parameter_may_hold_anything(program: Client, things: Any) -> None:
    words = cycle(WORDS[len(things.path) % len(WORDS) :] + WORDS)
    for name in (*things.filters, *things.singles, *things.flags, "page", "pageSize", "unknown"):
        word = quote(next(words), errors="surrogatepass")
        send(program, "get", f"{things.path}?{name}={word}")
    if things.has_one:
        for word in WORDS[:6]:
            send(program, "get", f"{things.path}/{quote(word)}")


@pytest.mark.parametrize("things", [one for one in THINGS if one.has_search], ids=lambda things: things.path)
def test_a_search_may_hold_anything(program: Client, things: Any) -> None:
    values = cycle(VALUES[len(things.path) % len(VALUES) :] + VALUES)
    names = [*map(plural_of, things.filters), *things.singles, *things.flags, "page", "pageSize", "unknown"]
    for name in names:
        send(program, "post", f"search/{things.path}", {name: next(values)})


@pytest.mark.parametrize("things", [one for one in THINGS if one.post], ids=lambda things: things.path)
def test_what_is_to_be_entered_may_be_anything(program: Client, things: Any) -> None:
    for value in VALUES:
        send(program, "post", things.path, value if isinstance(value, list) else [value])
        send(program, "post", things.path, [{"name": value, things.key: value}])
    for body in ("", "[", "[" * 5_000, '"x"', "null", "\ufeff[]", "[1e999999999]", '[{"a": 1, "a": 2}]', b"\xff"):
        send(program, "post", things.path, body)


def test_each_field_of_what_is_entered_may_be_anything(program: Client) -> None:
    line = {"germplasmName": "Fen 1", "commonCropName": "Common bean", "synonyms": [], "additionalInfo": {}}
    cross = {"crossName": "C1", "crossType": "BIPARENTAL", "parent1": {"germplasmName": "N-1"}, "parent2": {}}
    kept = {"listName": "x", "listType": "germplasm", "data": [], "additionalInfo": {}, "externalReferences": []}
    values, sides = cycle(VALUES), cycle(("germplasmDbId", "germplasmName", "parentType"))
    for path, sample in (("germplasm", line), ("crosses", cross), ("lists", kept)):
        for name in (*sample, *sample, *sample):
            send(program, "post", path, [{**sample, name: next(values)}])
    for value in VALUES:
        parent = {"germplasmName": "N-2", next(sides): value}
        send(program, "post", "crosses", [{**cross, "parent2": parent}])
        send(program, "post", "germplasm", [{**line, "additionalInfo": {"marketClass": value, "crossName": value}}])
        send(program, "post", "germplasm", [{**line, "synonyms": [{"synonym": value}]}])
