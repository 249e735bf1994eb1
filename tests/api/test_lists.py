"""Every list: pages, filters, sparse rows, one thing with its ETag, export; nothing of another station."""

import csv
import io
import json
from collections.abc import Iterator
from typing import Any

import openpyxl
import pytest
from django.db import transaction
from django.test import override_settings
from pytest_django.plugin import DjangoDbBlocker

from api.models import Job, Webhook
from api.parsers import XLSX
from api.readings.devices import DeviceWords, enter_device
from api.readings.keeping import ReadingWords, keep_reading
from api.v1 import exporting, listing
from api.v1.columns import COMPARISONS, Kind, comparisons_of
from api.v1.shelves import BY_NAME, SHELVES, Shelf
from api.webhooks.telling import trial_message
from inventory.importing.acts import book
from inventory.importing.keeping import keep, saved_once
from inventory.models import Place, Sender
from tests.api.asking import Program, program_of
from tests.inventory.lamp import lamp, soak_kind
from tests.make import NOW, House, bagged, cleaned, house, received

pytestmark = pytest.mark.django_db
SHEET = b"Plot;Line;Season;Site\nST25-9;N-1;2025;ST\n"
IN_LIST_ALONE = {("webhooks", "seq"), ("webhooks", "failing_since")}
UNSTOCKED = ("portions", "card-judgements", "photos", "measurements")  # each is listed by a test of its own or its part
EACH = pytest.mark.parametrize("shelf", SHELVES, ids=lambda shelf: shelf.name)


def key_of(plant: House, role: str = "records") -> Program:
    return program_of(plant.people[role], "read")


@pytest.fixture(scope="module")
def plant(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[House]:
    """A station with at least one row on each shelf, built once; each test stands on it and leaves it as it was."""
    with django_db_blocker.unblock(), override_settings(DATA_DIR=tmp_path_factory.mktemp("data")):
        block = transaction.atomic()
        block._from_testcase = True  # type: ignore[attr-defined]  # so that durable acts may stand inside, as in a test
        with block:
            yield stocked()
            transaction.set_rollback(True)


def stocked() -> House:
    plant = house()
    raw = received(plant, moisture="15.5")
    clean = cleaned(plant, raw, "798", "741.2")
    lot = bagged(plant, received(plant, "109"), count=4, part_bag="9")
    received(plant, "50")
    _book(plant, "add container", {"code": "SB-1", "kind": "steel bin", "tare": "42"})
    _book(plant, "add cross", {"code": "Q1", "female": "N-1", "male": "N-2"})
    _book(plant, "bench sample", {"number": "G1", "lot": clean.number, "mass": "2"})
    _book(plant, "note", {"plot": "ST24-N-1-1", "variable": "standing", "value": "2"})
    _book(plant, "hold", {"lots": [lot.number]})
    items = [{"lot": clean.number, "mass": "100"}]
    _book(plant, "ship", {"code": "S1", "recipient": "=Tollhaven", "items": items})
    _book(plant, "germination", {"number": "T1", "lot": clean.number, "replicates": ["95", "96", "94", "97"]})
    for verb, words in measured(clean.number):
        _book(plant, verb, words)
    with lamp(measurement_kinds=lambda: [soak_kind()]):
        _book(plant, "soaking test", {"lot": clean.number, "dry": "100", "wet": "205.4"})
    draft = keep(SHEET, "plots.csv", "plots", station=plant.station, by=plant.records)
    saved_once(draft, by=plant.records, key="")
    Job.objects.create(station=plant.station, by=plant.records, kind="export", made_at=NOW)
    here: dict[str, Any] = {"station": plant.station, "by": plant.records, "now": NOW}
    enter_device(DeviceWords(code="scale-1", driver="scale"), **here)
    sent = ReadingWords(device_id="scale-1", reading_id="1", taken_at=NOW.isoformat(), raw="842.0 kg")
    keep_reading(sent, None, **here)
    Sender.objects.create(station=plant.station, name="Tollhaven", their_lot="77")
    hook = Webhook.objects.create(
        station=plant.station, by=plant.records, name="board", url="https://board.example/", seq=0, made_at=NOW
    )
    trial_message(hook, NOW)
    return plant


def measured(lot: str) -> list[tuple[str, dict[str, Any]]]:
    screens = [{"screen": "18/64", "pct": "38.6"}, {"screen": "pan", "pct": "61.4"}]
    colour = {"lightness": "68.4", "a": "2.7", "b": "14.0", "illuminant": "D65", "observer": "2"}
    return [
        ("promise", {"lot": lot, "mass": "10", "recipient": "Tollhaven"}),
        ("decide", {"line": "N-1", "verdict": "advance"}),
        ("field weight", {"plot": "ST24-N-1-1", "mass": "800"}),
        ("size curve", {"lot": lot, "shape": "round", "screens": screens}),
        ("colour", {"lot": lot, **colour}),
        ("seed weight", {"lot": lot, "readings": ["17.4"] * 8}),
        ("treat", {"lot": lot, "product": "Seed coat A", "dose": "3 mL per kg", "caution": "Wear gloves."}),
        ("pollinate", {"cross": "Q1", "buds": 24, "pods": 7, "seeds": 19}),
        ("purity", {"lot": lot, "working_g": "500.0", "inert_g": "0.4"}),
        ("seed health", {"lot": lot, "pathogen": "halo blight", "method": "grow-out", "tested": 1000, "found": 0}),
        ("variety purity", {"lot": lot, "looked_at": 1000, "off_types": 2, "counted": "plants"}),
        ("set tray", {"lot": lot, "count_on": "2025-06-08"}),
        ("keep file sample", {"sample": "G1", "place": "C-8"}),
        ("seed limit", {"name": "halo blight", "most_pct": "0.5"}),
        ("log weather", {"site": "ST", "days": [{"day": "2024-03-30", "low": "2.5", "high": "11"}]}),
        ("note stage", {"plot": "ST24-N-1-1", "stage": "maturity", "day": "2024-08-30"}),
        ("feedback", {"who": "Tollhaven", "said": "An even stand.", "lot": lot}),
        ("label", {"lots": [lot]}),
        ("add plant", {"plot": "ST24-N-1-1"}),
    ]


@pytest.fixture
def program(plant: House) -> Program:
    return key_of(plant)


@EACH
def test_each_list_has_the_columns_it_names(program: Program, shelf: Shelf) -> None:
    rows = program.get(f"/api/v1/{shelf.name}")["results"]
    assert all(list(row) == [column.name for column in shelf.columns] for row in rows)
    assert rows or shelf.name in UNSTOCKED


@EACH
def test_one_of_them_is_read_by_its_name_and_not_again_while_it_is_the_same(program: Program, shelf: Shelf) -> None:
    for row in program.get(f"/api/v1/{shelf.name}?limit=1")["results"]:
        address = f"/api/v1/{shelf.name}/{row[shelf.named_by]}"
        first = program.client.get(address, headers=program.headers)
        assert first.status_code == 200
        same = [] if shelf.name == "lots" else [name for name in row if (shelf.name, name) not in IN_LIST_ALONE]
        assert first.json() == {**first.json(), **{name: row[name] for name in same}}
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
def test_one_that_is_not_there_is_said(program: Program, shelf: Shelf) -> None:
    for name in ("x", "99", "%00", "x/y", "a%2Fb", "9" * 400, "--", "é"):
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
        ("limit=0000010000", "Give 1 to 1,000."),
        (f"limit=000000001{'0' * 5000}", "Give 1 to 1,000."),
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
    sheet = opened(program, f"/api/v1/{shelf.name}/export?format=xlsx")
    assert [len(row) for row in sheet] == [len(shelf.columns)] * (len(rows) + 1)
    assert list(sheet[0]) == table[0]


def opened(program: Program, address: str) -> list[tuple[Any, ...]]:
    answer = program.client.get(address, headers=program.headers)
    assert (answer.status_code, answer["Content-Type"]) == (200, XLSX)
    book = openpyxl.load_workbook(io.BytesIO(b"".join(answer.streaming_content)))
    return list(book.active.iter_rows(values_only=True))


def test_a_workbook_runs_no_formula_keeps_numbers_and_is_narrowed_as_the_list_is(
    plant: House, program: Program
) -> None:
    wanted = "shipment__in=S1&fields=shipment,recipient,mass"
    sheet = opened(program, f"/api/v1/shipments/export?format=xlsx&{wanted}")
    assert sheet == [("shipment", "recipient", "mass_kg"), ("S1", "'=Tollhaven", 100)]
    Place.objects.create(station=plant.station, code="X-1", name="a\x01\x0bb")
    named = opened(program, "/api/v1/places/export?format=xlsx&place=X-1&fields=name,id")
    assert named[1][0] == "a\ufffd\ufffdb"


def test_more_rows_than_a_workbook_is_made_of_are_a_sentence(program: Program, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(exporting, "MOST_IN_A_WORKBOOK", 3)
    assert program.get("/api/v1/places/export?format=xlsx", 400)["code"] == "too_many_rows"


def test_a_list_is_searched_for_every_word_wherever_it_stands(program: Program) -> None:
    def found(query: str) -> list[str]:
        return [row["lot"] for row in program.get(f"/api/v1/lots?fields=lot&{query}")["results"]]

    assert found("q=0002") == ["24-0002-8"]
    assert found("q=n-1%2024-0003") == found("q=24-0003&line=N-1") == ["24-0003-1"]
    assert found("q=n-1%20nothing") == []
    assert streamed(program, "/api/v1/lots/export?format=csv&fields=lot&q=0002").splitlines() == ["lot", "24-0002-8"]
    for query in ("q=", "q=%20", "q=%00", f"q={'x' * 201}", "q=a&q=b"):
        assert program.get(f"/api/v1/lots?{query}", 400)["errors"][0]["field"] == "q"
    assert program.get("/api/v1/portions?q=x", 400)["code"] == "unknown_word"


def test_rows_are_counted_where_that_is_asked_and_as_far_as_is_quick(
    program: Program, monkeypatch: pytest.MonkeyPatch
) -> None:
    counted = program.get("/api/v1/lots?include=count&limit=1")
    assert (counted["count"], counted["count_is_all"], len(counted["results"])) == (4, True, 1)
    assert program.get("/api/v1/lots?include=count&lot=24-0002-8")["count"] == 1
    monkeypatch.setattr(listing, "MOST_COUNTED", 3)
    capped = program.get("/api/v1/lots?include=count")
    assert (capped["count"], capped["count_is_all"]) == (3, False)
    assert "count" not in program.get("/api/v1/lots")
    program.get("/api/v1/lots?include=all", 400)


def test_a_list_that_is_the_same_is_not_sent_again(plant: House, program: Program) -> None:
    first = program.client.get("/api/v1/places", headers=program.headers)
    known = {**program.headers, "If-None-Match": first["ETag"]}
    assert program.client.get("/api/v1/places", headers=known).status_code == 304
    Place.objects.create(station=plant.station, code="X-1")
    assert program.client.get("/api/v1/places", headers=known).status_code == 200


def test_one_act_tells_its_masses_what_it_touched_and_what_was_said(program: Program) -> None:
    number = program.get("/api/v1/operations?kind=receive&limit=1")["results"][0]["number"]
    told = program.get(f"/api/v1/operations/{number}")
    assert [entry["mass"]["value"] for entry in told["entries"] if entry["lot"]] == ["50.0"]
    assert told["touched"]["lots"]
    assert list(program.get(f"/api/v1/operations/{number}?fields=kind")) == ["kind"]
    program.get("/api/v1/operations/99999", 404)


def test_machines_are_listed_with_their_other_names(program: Program) -> None:
    assert {"machine": "gravity", "also": ["gravity table", "gravity separator"]} in program.get("/api/v1/machines")[
        "results"
    ]


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
    by = plant.breeder if verb == "decide" else plant.records
    book(verb, words, station=plant.station, by=by, now=NOW, **asked)


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
