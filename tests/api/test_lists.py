"""Every list: pages, filters, sparse rows, one thing with its ETag, export; nothing of another station."""

import csv
import io
import json
from pathlib import Path
from typing import Any

import pytest

from api.tokens import make_token
from api.v1.columns import COMPARISONS, Kind, comparisons_of
from api.v1.shelves import BY_NAME, SHELVES, Shelf
from inventory.importing.acts import book
from inventory.importing.keeping import keep, saved_once
from inventory.models import Place
from tests.api.asking import Program
from tests.make import NOW, House, bagged, cleaned, house, received

pytestmark = pytest.mark.django_db
SHEET = b"Plot;Line;Season;Site\nST25-9;N-1;2025;ST\n"
EACH = pytest.mark.parametrize("shelf", SHELVES, ids=lambda shelf: shelf.name)


def key_of(plant: House, role: str = "records") -> Program:
    return Program(make_token(plant.people[role], scopes=("read",), days=None, now=NOW))


@pytest.fixture
def plant(settings: Any, tmp_path: Path) -> House:
    """A station with at least one row on each shelf."""
    plant = house()
    raw = received(plant)
    clean = cleaned(plant, raw, "798", "741.2")
    lot = bagged(plant, received(plant, "109"), count=4, part_bag="9")
    received(plant, "50")
    told = [
        ("add container", {"code": "SB-1", "kind": "steel bin", "tare": "42"}),
        ("add cross", {"code": "Q1", "female": "N-1", "male": "N-2"}),
        (
            "bench sample",
            {"number": "G1", "lot": clean.number, "mass": "2"},
        ),
        ("hold", {"lots": [lot.number]}),
        ("ship", {"code": "S1", "recipient": "=Tollhaven", "items": [{"lot": clean.number, "mass": "100"}]}),
        ("germination", {"number": "T1", "lot": clean.number, "replicates": ["95", "96", "94", "97"]}),
    ]
    for verb, words in told:
        asked: dict[str, Any] = {"reason": "as it was", "answers": {"too_few_points": "as it was"}, "key": ""}
        book(verb, words, station=plant.station, by=plant.records, now=NOW, **asked)
    settings.DATA_DIR = tmp_path
    draft = keep(SHEET, "plots.csv", "plots", station=plant.station, by=plant.records)
    saved_once(draft, by=plant.records, key="")
    return plant


@pytest.fixture
def program(plant: House) -> Program:
    return key_of(plant)


@EACH
def test_each_list_has_the_columns_it_names(program: Program, shelf: Shelf) -> None:
    rows = program.get(f"/api/v1/{shelf.name}")["results"]
    assert all(list(row) == [column.name for column in shelf.columns] for row in rows)
    assert rows or shelf.name == "portions"


@EACH
def test_one_of_them_is_read_by_its_name_and_not_again_while_it_is_the_same(program: Program, shelf: Shelf) -> None:
    for row in program.get(f"/api/v1/{shelf.name}?limit=1")["results"]:
        address = f"/api/v1/{shelf.name}/{row[shelf.named_by]}"
        first = program.client.get(address, headers=program.headers)
        assert first.status_code == 200
        assert first.json() == {**first.json(), **(row if shelf.name != "lots" else {})}
        again = program.client.get(address, headers={**program.headers, "If-None-Match": f'"x", {first["ETag"]}'})
        assert (again.status_code, again.content) == (304, b"")
        assert program.client.get(address, headers={**program.headers, "If-None-Match": '"x"'}).status_code == 200


@EACH
def test_every_filter_can_be_asked(program: Program, shelf: Shelf) -> None:
    good = {
        Kind.NAME: "N-1", Kind.UID: "01890a5d-ac96-774b-bcce-b302099a8057", Kind.WHOLE: "3", Kind.MASS: "12.5",
        Kind.INSTANT: "2024-09-24T00:00:00Z", Kind.DAY: "2024-09-24", Kind.YES: "true",
    }  # fmt: skip
    for column in shelf.columns:
        for parameter, comparison in comparisons_of(column):
            value = "true" if comparison == "isnull" else good[column.kind]
            program.get(f"/api/v1/{shelf.name}?{parameter}={value}")


BAD = {
    Kind.NAME: ("", "%00"), Kind.UID: ("", "x", "%00"), Kind.WHOLE: ("", "x", "-1", "1.5", "99999999999999999999", "²"),
    Kind.MASS: ("", "x", "NaN", "1e99", "Infinity"), Kind.YES: ("", "2", "maybe"),
    Kind.INSTANT: ("", "x", "2024-09-24", "2024-09-24T08:00:00", "0001-01-01T00:00:00%2B14:00", "2024-02-31T00:00:00Z"),
    Kind.DAY: ("", "x", "2024-02-31", "24.9.2024"),
}  # fmt: skip


@EACH
def test_a_filter_that_cannot_be_read_is_named_and_no_fault(program: Program, shelf: Shelf) -> None:
    for column in shelf.columns:
        for parameter, comparison in comparisons_of(column):
            for value in ("2",) if comparison == "isnull" else BAD[column.kind]:
                problem = program.get(f"/api/v1/{shelf.name}?{parameter}={value}", 400)
                assert problem["errors"][0]["field"] == parameter, (parameter, value)


@EACH
@pytest.mark.parametrize("name", ["x", "99", "%00", "x/y", "a%2Fb", "9" * 400, "--", "é"])
def test_one_that_is_not_there_is_said(program: Program, shelf: Shelf, name: str) -> None:
    program.get(f"/api/v1/{shelf.name}/{name}", 404)


@EACH
def test_nothing_of_it_is_seen_at_another_station(plant: House, shelf: Shelf) -> None:
    mine, other = key_of(plant), key_of(house("OT"))
    ids = {row["id"] for row in mine.get(f"/api/v1/{shelf.name}")["results"]}
    assert not ids & {row["id"] for row in other.get(f"/api/v1/{shelf.name}")["results"]}
    for number in ids if shelf.named_by == "id" else ():
        other.get(f"/api/v1/{shelf.name}/{number}", 404)


def test_lots_are_filtered_as_asked(program: Program) -> None:
    def lots(query: str) -> list[str]:
        return [row["lot"] for row in program.get(f"/api/v1/lots?{query}")["results"]]

    assert lots("hold=true") == ["24-0003-1"]
    assert lots("lot__in=24-0001-5,24-0003-1") == ["24-0003-1", "24-0001-5"]
    assert lots("lot__icontains=0002") == ["24-0002-8"]
    assert lots("left__gte=109&left__lte=700") == ["24-0003-1", "24-0002-8"]
    assert lots("line=N-2") == []


def test_masses_are_exact_texts_with_their_unit_and_instants_end_in_z(program: Program) -> None:
    row = program.get("/api/v1/lots/24-0001-5")
    assert (row["opening"], row["made_at"][-1]) == ({"value": "800.0", "unit": "kg"}, "Z")
    listed = program.get("/api/v1/lots?lot=24-0001-5")["results"][0]
    assert (listed["opening"], listed["made_at"]) == (row["opening"], row["made_at"])


def test_fields_leave_only_what_is_wanted(program: Program) -> None:
    assert program.get("/api/v1/lots?fields=left,lot&limit=1")["results"] == [
        {"left": {"value": "50.0", "unit": "kg"}, "lot": "24-0004-4"}
    ]
    problem = program.get("/api/v1/lots?fields=lot,colour", 400)
    assert "'colour' is no field of this list." in problem["detail"]


def test_pages_go_on_and_back_and_skip_nothing_while_others_book(plant: House, program: Program) -> None:
    def page(address: str) -> tuple[list[str], dict[str, str]]:
        read = program.get(address.removeprefix("http://testserver"))
        return [row["place"] for row in read["results"]], read

    first, read = page("/api/v1/places?limit=2&fields=place")
    Place.objects.create(station=plant.station, code="NEW")
    second, at_two = page(read["next"])
    assert (first, second) == (["B-01", "A-01"], ["L-1", "F-1"])
    assert at_two["next"] is None
    back, at_one = page(at_two["previous"])
    assert back == first
    assert page(at_one["previous"])[0] == ["NEW"]


@EACH
def test_a_hundred_rows_cost_at_most_four_queries(
    plant: House, program: Program, shelf: Shelf, django_assert_max_num_queries: Any
) -> None:
    Place.objects.bulk_create(Place(station=plant.station, code=f"X-{number}") for number in range(100))
    program.get("/api/v1")
    with django_assert_max_num_queries(4):
        program.get(f"/api/v1/{shelf.name}?limit=100")


@pytest.mark.parametrize(
    ("query", "says"),
    [
        ("lien=N-1", "Did you mean line"),
        ("line=N-1&line=N-2", "line stands twice."),
        ("limit=1001", "Give 1 to 1,000."),
        ("made_at__gte=2024-09-24T08:00:00", "Give an instant with its zone"),
    ],
)
def test_a_parameter_that_cannot_be_used_says_what_to_give(program: Program, query: str, says: str) -> None:
    assert says in program.get(f"/api/v1/lots?{query}", 400)["detail"]


@EACH
def test_an_export_holds_what_the_list_holds(program: Program, shelf: Shelf) -> None:
    rows = program.get(f"/api/v1/{shelf.name}?limit=1000")["results"]
    lines = streamed(program, f"/api/v1/{shelf.name}/export?format=ndjson").splitlines()
    assert [json.loads(line) for line in lines] == [*rows, {"end": True, "count": len(rows)}]
    table = list(csv.reader(io.StringIO(streamed(program, f"/api/v1/{shelf.name}/export?format=csv"))))
    assert len(table) == len(rows) + 1


def streamed(program: Program, address: str) -> str:
    answer = program.client.get(address, headers={**program.headers, "Accept": "text/csv"})
    assert answer.status_code == 200, answer.content
    return b"".join(answer.streaming_content).decode()


def test_an_export_is_filtered_and_runs_no_formula(program: Program) -> None:
    text = streamed(program, "/api/v1/shipments/export?format=csv&shipment=S1&fields=shipment,recipient,mass")
    assert text.splitlines() == ["shipment,recipient,mass_kg", "S1,'=Tollhaven,100.0"]
    program.get("/api/v1/lots/export?format=xls", 400)
    program.get("/api/v1/lots/export", 400)


def test_what_waits_for_a_blind_regrade_is_not_listed_for_whoever_might_pick_it(plant: House) -> None:
    words = {"number": "G2", "file_sample_of": "G1", "blind": True}
    worked = {"sample": "G1", "portion_g": "500", "rule_set": "QM-DEMO"}
    _book(plant, "grade", worked)
    _book(plant, "bench sample", words)
    shown = [row["sample"] for row in key_of(plant).get("/api/v1/samples")["results"]]
    hidden = key_of(plant, "bench")
    assert set(shown) == {"G1", "G2"}
    assert hidden.get("/api/v1/samples")["results"] == []
    assert hidden.get("/api/v1/portions")["results"] == []
    hidden.get("/api/v1/samples/G1", 404)


def _book(plant: House, verb: str, words: dict[str, Any]) -> None:
    asked: dict[str, Any] = {"reason": "as it was", "answers": {"too_few_points": "as it was"}, "key": ""}
    book(verb, words, station=plant.station, by=plant.records, now=NOW, **asked)


def test_rule_sets_are_listed_and_read_whole(program: Program) -> None:
    heads = program.get("/api/v1/rule-sets")["results"]
    whole = program.get(f"/api/v1/rule-sets/{heads[0]['id']}:{heads[0]['edition']}")
    assert whole["tables"] and whole["id"] == heads[0]["id"]
    assert "rule set" in program.get("/api/v1/rule-sets/none", 422)["detail"]


def test_a_trace_and_a_recall_are_read_of_anything(program: Program) -> None:
    assert program.get("/api/v1/trace?of=24-0002-8")["nodes"]
    assert program.get("/api/v1/trace?of=24-0001-5&forward=true")["nodes"]
    assert program.get("/api/v1/recall?of=24-0001-5")["lots"]
    for query in ("", "?of=", "?of=%00", "?off=x"):
        program.get(f"/api/v1/recall{query}", 400)
    program.get("/api/v1/trace?of=zzz", 404)


def test_every_kind_of_value_has_its_comparisons() -> None:
    assert set(COMPARISONS) == set(Kind)
    assert BY_NAME["lots"].named_by == "lot"
