"""Sheets by a program: findings as everywhere, answers that nobody writes over, saved once, taken back whole."""

import json
from collections.abc import Callable
from hashlib import sha256
from io import BytesIO
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from django.contrib.auth.models import User
from django.core.files.uploadedfile import SimpleUploadedFile

from api.parsers import XLSX
from inventory.models import Load, Membership, Operation, SheetDraft
from inventory.queries.verifying import verify
from tests.api.asking import Program, program_of
from tests.inventory.management.asking import ask
from tests.make import House, house

pytestmark = pytest.mark.django_db
TEXT = "Date;Plot;Net;Moist\n2024-09-24;ST24-N-1-1;800;16.2\n2024-09-24;ST24-N-1-2;640;0.162\n"
ANSWER = {"row": 3, "column": "Moist", "answer": "accept"}
NAME = sha256(TEXT.encode()).hexdigest()
SHEETS = "/api/v1/sheets"
HERE = f"{SHEETS}/{NAME}"


@pytest.fixture
def plant(settings: Any, tmp_path: Path) -> House:
    settings.DATA_DIR = tmp_path
    return house()


def key_of(plant: House, role: str = "records") -> Program:
    return program_of(plant.people[role])


@pytest.fixture
def program(plant: House) -> Program:
    return key_of(plant)


def as_json(program: Program, **more: str) -> Any:
    return program.send(SHEETS, {"file_name": "kept.csv", "text": TEXT, **more})


def as_form(program: Program) -> Any:
    return program.client.post(
        SHEETS, {"file": SimpleUploadedFile("kept.csv", TEXT.encode())}, headers=program.headers
    )  # fmt: skip


def as_bytes(program: Program) -> Any:
    address = f"{SHEETS}?file_name=kept.csv"
    return program.client.post(address, TEXT.encode(), content_type="text/csv", headers=program.headers)


def sent(program: Program) -> dict[str, Any]:
    answer = as_json(program)
    assert answer.status_code == 201, answer.content
    return dict(answer.json())


def saved(program: Program, key: str = "", status: int = 201) -> dict[str, Any]:
    return dict(program.post(f"{HERE}/save", {}, status, key))


@pytest.mark.parametrize("send", [as_json, as_form, as_bytes])
def test_a_sheet_has_the_findings_that_the_command_prints(
    program: Program, send: Callable[[Program], Any], tmp_path: Path
) -> None:
    answer = send(program)
    assert (answer.status_code, answer.json()["kind"], answer.json()["sha256"]) == (201, "intake", NAME)
    (tmp_path / "kept.csv").write_text(TEXT)
    printed = json.loads(ask("sheet", str(tmp_path / "kept.csv"), "--kind", "intake", "--json").out)
    found = {name: answer.json()[name] for name in printed}
    assert found == printed
    assert [(one["level"], one["row"], one["proposal"]) for one in found["findings"]] == [("question", 3, "16.2")]
    assert program.get(f"{HERE}/findings") == answer.json()
    assert program.client.get(answer["Location"], headers=program.headers)["ETag"] == answer["ETag"]


def test_a_workbook_is_sent_as_its_own_bytes(program: Program) -> None:
    book, file = openpyxl.Workbook(), BytesIO()
    for line in TEXT.splitlines():
        book.active.append(line.split(";"))
    book.save(file)
    answer = program.client.post(
        f"{SHEETS}?file_name=kept.xlsx&kind=intake", file.getvalue(), content_type=XLSX, headers=program.headers
    )
    assert (answer.status_code, answer.json()["rows"]) == (201, 2)


def test_nothing_is_saved_while_something_is_open(program: Program) -> None:
    sent(program)
    problem = program.post(f"{HERE}/save", {}, 422)
    assert (problem["code"], problem["detail"]) == (
        "still_open",
        "One thing is still to decide. Nothing was saved. Its findings name each: all that are no note.",
    )
    assert not Operation.objects.exists()


def test_it_is_answered_saved_once_and_its_load_taken_back_whole(program: Program, plant: House) -> None:
    sent(program)
    assert program.post(f"{HERE}/answers", {"answers": [ANSWER]}, 200)["answers"][0]["by"] == "records-st"
    assert program.get(f"{HERE}/findings")["findings"][0]["level"] == "note"
    first = saved(program, "k-1")
    assert (first["load"], first["saved"], first["rows"]) == ("L1", 2, 2)
    assert saved(program, "k-1") == first
    assert saved(program, "k-2", 200) == {**first, "saved": 0}
    again = sent(program)
    assert (again["load"], again["saved"], again["findings"][0]["level"]) == ("L1", 0, "note")
    assert program.get("/api/v1/loads/L1")["answers"][0]["answer"] == "accept"
    assert [row["load"] for row in program.get("/api/v1/operations?load=L1")["results"]] == ["L1"] * 2
    back = program.post("/api/v1/loads/L1/unload", {"reason": "the wrong year"}, key="k-3")
    assert back == program.post("/api/v1/loads/L1/unload", {"reason": "the wrong year"}, key="k-3")
    assert back["reversed"] == 2
    assert program.get("/api/v1/stock")["results"] == []
    assert saved(program, "k-1") == first
    assert Load.objects.count() == 1
    assert verify(plant.station).is_whole


def test_a_key_is_for_one_thing(program: Program) -> None:
    sent(program)
    program.post("/api/v1/acts/add-place", {"code": "C-1"}, key="k-1")
    program.post(f"{HERE}/answers", {"answers": [ANSWER]}, 200)
    assert program.post(f"{HERE}/save", {}, 422, "k-1")["code"] == "key_reused"
    assert not Load.objects.exists()


def test_nobodys_answer_is_written_over_unseen(program: Program, plant: House) -> None:
    sent(program)
    program.post(f"{HERE}/answers", {"answers": [ANSWER]}, 200)
    second = User.objects.create_user("records-2")
    Membership.objects.create(station=plant.station, user=second, role="records")
    other = program_of(second)
    mine = {**ANSWER, "answer": "16.3"}
    assert other.post(f"{HERE}/answers", {"answers": [mine]}, 422)["code"] == "answered_meanwhile"
    other.post(f"{HERE}/answers", {"answers": [{**mine, "seen": "accept"}]}, 200)
    seen = other.client.get(f"{HERE}/answers", headers=other.headers)["ETag"]
    assert program.send(f"{HERE}/answers", {"answers": []}, method="put").json()["code"] == "seen_missing"
    put = program.send(f"{HERE}/answers", {"answers": [ANSWER]}, method="put", If_Match=seen)
    assert put.json()["answers"] == [{**ANSWER, "by": "records-st"}]
    late = other.send(f"{HERE}/answers", {"answers": []}, method="put", If_Match=seen)
    assert (late.status_code, late.json()["code"]) == (412, "changed_meanwhile")
    gone = program.send(f"{HERE}/answers", {"answers": []}, method="put", If_Match=put["ETag"])
    assert gone.json() == {"answers": []}


def test_what_it_lists_is_asked_and_told(program: Program) -> None:
    text = "What;Ever\n1;2\n"
    asked = program.post(SHEETS, {"file_name": "x.csv", "text": text})
    assert (asked["kind"], asked["findings"][0]["level"]) == ("", "question")
    address = f"{SHEETS}/{asked['id']}"
    assert program.post(f"{address}/save", {}, 409)["code"] == "kind_asked"
    told = program.send(address, {"kind": "intake"}, method="patch", If_Match="*")
    assert told.json()["kind"] == "intake"
    assert (
        "Did you mean intake"
        in program.send(address, {"kind": "intakes"}, method="patch", If_Match="*").json()["detail"]
    )
    program.get(f"{address}/findings", 422)
    assert program.send(address, {"kind": "intake"}, method="patch").status_code == 428
    weak = f"W/{told['ETag']}"
    assert program.client.delete(address, headers={**program.headers, "If-Match": weak}).status_code == 412
    assert program.client.delete(address, headers={**program.headers, "If-Match": told["ETag"]}).status_code == 204
    program.get(address, 404)


def test_sheets_and_loads_of_another_station_are_not_there(program: Program) -> None:
    uid = sent(program)["id"]
    program.post(f"{HERE}/answers", {"answers": [ANSWER]}, 200)
    saved(program)
    stranger = key_of(house("OT"))
    for name in (uid, NAME):
        stranger.get(f"{SHEETS}/{name}", 404)
        stranger.get(f"{SHEETS}/{name}/findings", 404)
        stranger.post(f"{SHEETS}/{name}/answers", {"answers": [ANSWER]}, 404)
        stranger.post(f"{SHEETS}/{name}/save", {}, 404)
    stranger.get("/api/v1/loads/L1", 404)
    stranger.post("/api/v1/loads/L1/unload", {}, 404)


def test_who_may_not_load_sheets_sends_none(plant: House) -> None:
    reader = program_of(plant.people["records"], "read")
    assert as_json(reader).status_code == 403
    stranger = key_of(plant, "stranger")
    assert as_json(stranger).status_code in (403, 404)
    assert not SheetDraft.objects.exists()


@pytest.mark.parametrize(
    ("content", "status", "code"),
    [
        (b"", 422, "empty_file"),
        (b"\xff\xfe\x00", 422, None),
        (b"PK\x03\x04 no workbook", 422, None),
        (b"x" * (16 * 1024**2 + 1), 422, "file_too_large"),
        (b"a;b\n", 422, None),
    ],
    ids=["empty", "no text", "no workbook", "too large", "no rows"],
)
def test_bytes_that_are_no_sheet_are_refused(program: Program, content: bytes, status: int, code: str | None) -> None:
    for kind in ("application/octet-stream", "text/csv"):
        answer = program.client.post(
            f"{SHEETS}?file_name=x.csv&kind=intake", content, content_type=kind, headers=program.headers
        )
        assert answer.status_code == status, answer.content
        assert code in (None, answer.json()["code"])
    assert not Operation.objects.exists()


@pytest.mark.parametrize(
    "body",
    [
        {}, {"file_name": "x.csv"}, {"file_name": "x.csv", "text": 3, "kind": []}, {"text": TEXT, "kid": "intake"},
        {"file_name": "x.csv", "text": "a\0b"}, {"file_name": "x.csv", "text": "\ud800"},
        {"file_name": "x\0.csv", "text": TEXT}, {"file_name": "x.csv", "text": TEXT, "kind": "in\0take"},
        {"file_name": "x.csv", "text": TEXT, "kind": "harvest"},
    ],
)  # fmt: skip
def test_a_sheet_that_is_said_otherwise_is_a_problem(program: Program, body: dict[str, Any]) -> None:
    program.post(SHEETS, body, 422)


@pytest.mark.parametrize(
    "given",
    [
        {}, 3, "x", [], [3], [{}], [{"row": -1, "answer": "x"}], [{"row": "9" * 30, "answer": "x"}],
        [{"row": 3, "answer": "x" * 501}], [{"row": 3, "answer": "a\0"}], [{"row": 3, "column": [], "answer": "x"}],
        [{"row": 3, "answer": True, "whose": "mine"}],
    ],
)  # fmt: skip
@pytest.mark.parametrize("method", ["post", "put"])
def test_answers_that_are_none_are_a_problem_or_change_nothing(program: Program, given: Any, method: str) -> None:
    sent(program)
    answer = program.send(f"{HERE}/answers", {"answers": given}, method=method, If_Match="*")
    assert answer.status_code in (200, 422), answer.content
    assert answer.status_code == 422 or answer.json()["answers"] == []


@pytest.mark.parametrize("name", ["x", "L1", "%00", "9" * 400, "a" * 64, "00000000-0000-0000-0000-00000000000z", "é"])
def test_a_sheet_or_load_that_is_not_there_is_said(program: Program, name: str) -> None:
    for address in (
        f"{SHEETS}/{name}",
        f"{SHEETS}/{name}/findings",
        f"{SHEETS}/{name}/answers",
        f"/api/v1/loads/{name}",
    ):
        program.get(address, 404)
    program.post(f"{SHEETS}/{name}/save", {}, 404)
    program.post(f"/api/v1/loads/{name}/unload", {}, 404)


def test_forms_that_break_off_or_hold_something_else_are_a_problem(program: Program) -> None:
    def form(body: bytes, boundary: str = "b") -> Any:
        kind = f"multipart/form-data; boundary={boundary}"
        return program.client.post(SHEETS, body, content_type=kind, headers=program.headers)

    assert form(b"--b\r\nContent-Dis", "").status_code == 400
    assert form(b"--b\r\nContent-Disposition: form-data; name=x\r\n\r\n1\r\n--b--").status_code == 422
    many = b"".join(
        b'--b\r\nContent-Disposition: form-data; name="f%d"; filename="x"\r\n\r\n1\r\n' % number for number in range(20)
    )
    assert form(many + b"--b--").status_code == 400
    assert as_bytes(program).status_code == 201
    wrong = program.client.post(f"{SHEETS}?name=x", b"x", content_type="text/csv", headers=program.headers)
    assert (wrong.status_code, wrong.json()["code"]) == (400, "unknown_word")
