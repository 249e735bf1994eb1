"""Sheets of many rows: checked and saved by the worker, found at the same addresses, saved once or not at all."""

from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from unittest import mock

import pytest

from api.jobs.doing import Watch, do_next_job
from api.jobs.models import Job
from inventory.importing import checking, limits
from inventory.models import Load, Lot, Operation, SheetDraft
from inventory.queries.verifying import verify
from tests.api.asking import Program, program_of
from tests.make import House, house

pytestmark = pytest.mark.django_db
TEXT = "Date;Plot;Net;Moist\n2024-09-24;ST24-N-1-1;800;16.2\n2024-09-24;ST24-N-1-2;640;0.162\n"
ANSWER = {"row": 3, "column": "Moist", "answer": "accept"}
SENT = {"file_name": "kept.csv", "text": TEXT}
SHEETS = "/api/v1/sheets"
LATER = {"Prefer": "wait=10, Respond-Async"}


@pytest.fixture
def plant(settings: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> House:
    settings.DATA_DIR = tmp_path
    monkeypatch.setattr(limits, "ROWS_AT_ONCE", 2)
    return house()


def key_of(plant: House, role: str = "records", *scopes: str) -> Program:
    return program_of(plant.people[role], *scopes)


@pytest.fixture
def program(plant: House) -> Program:
    return key_of(plant)


def work() -> int:
    return do_next_job(is_beaten=False)


def here(answer: Any) -> str:
    """The address that an answer names as its Location."""
    return str(answer["Location"]).removeprefix("http://testserver")


def sheet_sent(program: Program, **more: str) -> str:
    """Send the sheet and let the worker check it; gives its address."""
    answer = program.send(SHEETS, {**SENT, **more})
    assert (answer.status_code, answer["Retry-After"]) == (202, "2"), answer.content
    work()
    return f"{SHEETS}/{answer.json()['asked']['sheet']}"


def answered(program: Program) -> str:
    sheet = sheet_sent(program)
    program.post(f"{sheet}/answers", {"answers": [ANSWER]}, 200)
    return sheet


def looked_at(program: Program, answer: Any) -> dict[str, Any]:
    told: dict[str, Any] = program.get(here(answer))
    return told


def test_a_sheet_of_many_rows_is_checked_by_the_worker_with_the_same_findings_at_the_same_address(
    program: Program, monkeypatch: pytest.MonkeyPatch
) -> None:
    answer = program.send(SHEETS, SENT)
    assert (answer.status_code, answer["Retry-After"], answer.json()["state"]) == (202, "2", "waiting")
    findings = f"{SHEETS}/{answer.json()['asked']['sheet']}/findings"
    early = program.client.get(findings, headers=program.headers)
    assert (early.status_code, here(early)) == (202, here(answer))
    assert here(program.send(SHEETS, SENT)) == here(answer), "the same bytes are the same check"
    assert (work(), work()) == (1, 0)
    told = looked_at(program, answer)
    assert (told["state"], told["says"]) == ("done", "2 records, 1 things to decide.")
    done = program.client.get(findings, headers=program.headers)
    assert done["Last-Modified"] and done["ETag"]
    file = program.client.get(f"{here(answer)}/result", headers=program.headers)
    assert b"".join(file.streaming_content) == done.content
    monkeypatch.setattr(limits, "ROWS_AT_ONCE", 1_000)
    at_once = program.client.get(findings, headers=program.headers)
    assert (at_once.json(), at_once["ETag"]) == (done.json(), done["ETag"])
    assert [(one["row"], one["level"]) for one in done.json()["findings"]] == [(3, "question")]
    assert not Operation.objects.exists() and not Lot.objects.exists()


def test_answers_ask_for_another_check_and_an_old_one_does_not_count(program: Program) -> None:
    sheet = answered(program)
    first = program.client.get(f"{sheet}/findings", headers=program.headers)
    assert first.status_code == 202
    program.post(f"{sheet}/answers", {"answers": [{**ANSWER, "answer": "16.3", "seen": "accept"}]}, 200)
    work()
    assert looked_at(program, first)["problem"]["errors"][0]["code"] == "answered_since"
    second = program.client.get(f"{sheet}/findings", headers=program.headers)
    assert second.status_code == 202 and here(second) != here(first)
    work()
    assert program.get(f"{sheet}/findings")["findings"] == [], "as it was answered the second time"
    Job.objects.update(ended_at=datetime.now(UTC) - timedelta(minutes=11))
    program.get(f"{sheet}/findings", 202)


def test_a_sheet_that_cannot_be_checked_says_so_at_its_findings(program: Program) -> None:
    sheet = sheet_sent(program, text="Date;Plot;Net\n;;\n" + "\n".join(";;x" for _ in range(3)), kind="weather")
    job = Job.objects.get()
    assert job.state == "failed"
    problem = program.get(f"{sheet}/findings", 422)
    assert problem["detail"] == job.says and problem["code"] == job.mistakes[0]["code"] != "mistake"
    told = program.get(problem["type"].removeprefix("http://testserver"))
    assert problem["title"] in told["means"] and not [means for means in told["means"] if " " not in means]


def test_it_is_saved_by_the_worker_once_however_often_it_is_sent(program: Program, plant: House) -> None:
    sheet = answered(program)
    first = program.send(f"{sheet}/save", {}, "k-1")
    assert (first.status_code, Operation.objects.count()) == (202, 0)
    again = program.send(f"{sheet}/save", {}, "k-1")
    assert (again.status_code, here(again)) == (202, here(first))
    work()
    told = looked_at(program, first)
    assert (told["state"], told["says"]) == ("done", "Saved as load L1: 2 records.")
    replayed = program.send(f"{sheet}/save", {}, "k-1")
    assert (replayed.status_code, replayed["Idempotency-Replayed"]) == (201, "true")
    file = program.client.get(f"{here(first)}/result", headers=program.headers)
    assert b"".join(file.streaming_content) == replayed.content
    other = program.post(f"{sheet}/save", {}, 200, "k-2")
    assert other == {**replayed.json(), "saved": 0}
    assert program.get(f"{sheet}/findings")["load"] == "L1"
    assert (Load.objects.count(), Operation.objects.count(), Job.objects.filter(kind="save-sheet").count()) == (1, 2, 1)
    assert verify(plant.station).is_whole


def test_a_job_that_is_taken_up_again_after_it_saved_saves_nothing_twice(program: Program) -> None:
    save = program.send(f"{answered(program)}/save", {}, "k-1")
    work()
    Job.objects.filter(kind="save-sheet").update(state="waiting", worker="", tries=1)
    work()
    assert looked_at(program, save)["says"] == "Saved as load L1: 2 records."
    assert (Load.objects.count(), Operation.objects.count()) == (1, 2)


def test_what_is_refused_is_said_in_the_job_and_its_key_is_free_again(program: Program) -> None:
    sheet = sheet_sent(program)
    refused = program.send(f"{sheet}/save", {}, "k-1")
    work()
    told = looked_at(program, refused)
    assert (told["state"], told["says"]) == ("failed", "One thing is still to decide. Nothing was saved.")
    assert told["problem"]["errors"] == [{"code": "still_open", "field": "", "detail": told["says"]}]
    program.post(f"{sheet}/answers", {"answers": [ANSWER]}, 200)
    second = program.send(f"{sheet}/save", {}, "k-1")
    assert second.status_code == 202 and here(second) != here(refused)
    work()
    assert looked_at(program, second)["state"] == "done"


@pytest.mark.parametrize("step", [0, 1, 2, 3])
def test_cancelling_leaves_nothing_half(
    program: Program, plant: House, monkeypatch: pytest.MonkeyPatch, step: int
) -> None:
    """Two steps of the check and two of the booking: it stops at each, and can be saved afterwards."""
    sheet = answered(program)
    for module in ("inventory.importing.checking", "inventory.importing.loading"):
        monkeypatch.setattr(f"{module}.STEP", 1)
    save = program.send(f"{sheet}/save", {}, "k-1")
    steps: list[int] = []
    beat = Watch.beat

    def cancelled(watch: Watch) -> None:
        if len(steps) == step:
            watch._is_to_stop = True
        steps.append(1)
        if not watch._is_to_stop:
            beat(watch)

    with mock.patch.object(Watch, "beat", cancelled):
        work()
    assert len(steps) == step + 1
    assert looked_at(program, save)["state"] == "cancelled"
    assert not (Operation.objects.exists() or Load.objects.exists() or Lot.objects.exists())
    assert verify(plant.station).is_whole
    program.send(f"{sheet}/save", {}, "k-1")
    work()
    assert Operation.objects.count() == 2


def test_progress_is_told_through_check_and_booking(program: Program, monkeypatch: pytest.MonkeyPatch) -> None:
    sheet = answered(program)
    monkeypatch.setattr(checking, "STEP", 1)
    monkeypatch.setattr("inventory.importing.loading.STEP", 1)
    program.send(f"{sheet}/save", {}, "k-1")
    told: list[tuple[int, int]] = []
    with mock.patch("api.jobs.doing.Watch.__call__", lambda _watch, done, of: told.append((done, of))):
        work()
    assert told == [(0, 6), (1, 6), (2, 6), (3, 6)]


def test_a_short_sheet_goes_the_same_way_where_its_sender_prefers_it(
    program: Program, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(limits, "ROWS_AT_ONCE", 1_000)
    sent = program.send(SHEETS, SENT, **LATER)
    assert (sent.status_code, sent["Preference-Applied"]) == (202, "respond-async")
    sheet = f"{SHEETS}/{sent.json()['asked']['sheet']}"
    assert program.get(f"{sheet}/findings")["findings"][0]["level"] == "question", "at once, as that of any short one"
    program.post(f"{sheet}/answers", {"answers": [ANSWER]}, 200)
    first = program.send(f"{sheet}/save", {}, "k-1", **LATER)
    assert (first.status_code, first["Preference-Applied"]) == (202, "respond-async")
    assert here(program.send(f"{sheet}/save", {}, "k-1")) == here(first), "its job runs still"
    assert program.send(SHEETS, SENT, Prefer='note="a, respond-async"').status_code == 201
    while work():
        pass
    assert program.post(f"{sheet}/save", {}, 201, "k-1")["load"] == "L1"


REFUSED = [
    ({"kind": "check-sheet", "asked": {}}, (), 422, "Sheet is missing"),
    ({"kind": "check-sheet", "asked": {"sheet": "x"}}, (), 404, "No such sheet"),
    ({"kind": "check-sheet", "asked": {"sheet": "{theirs}"}}, (), 404, "No such sheet"),
    ({"kind": "check-sheet", "asked": {"sheet": "{unsaid}"}}, (), 409, "what this sheet lists"),
    ({"kind": "check-sheet", "asked": {"sheet": "{sheet}", "rows": 3}}, (), 422, "rows"),
    ({"kind": "check-sheet", "asked": {"sheet": "{sheet}"}}, ("jobs:write", "lots:read"), 403, "sheets:read"),
    ({"kind": "save-sheet", "asked": {"sheet": "{sheet}"}}, ("jobs:write", "sheets:read"), 403, "sheets:write"),
    ({"kind": "save-sheet", "asked": {"sheet": "{theirs}"}}, (), 404, "No such sheet"),
    ({"kind": "save-sheet", "asked": {"sheet": ["x"]}}, (), 422, "Sheet reads"),
]


def test_what_cannot_be_done_is_refused_before_it_is_queued(program: Program, plant: House) -> None:
    unsaid = program.post(SHEETS, {"file_name": "x.csv", "text": "What;Ever\n1;2\n3;4\n5;6\n"})["id"]
    names = {"sheet": sheet_sent(program), "theirs": sheet_sent(key_of(house("OT"))), "unsaid": unsaid}
    named = {f"{{{name}}}": address.removeprefix(f"{SHEETS}/") for name, address in names.items()}
    queued = Job.objects.count()
    for body, scopes, status, says in REFUSED:
        words: dict[str, Any] = {
            word: named.get(value, value) if isinstance(value, str) else value for word, value in body["asked"].items()
        }
        problem = key_of(plant, "records", *scopes).post("/api/v1/jobs", {**body, "asked": words}, status)
        assert says in problem["detail"], (body, problem["detail"])
    assert Job.objects.count() == queued


def test_saving_is_refused_as_it_is_without_a_job(program: Program, plant: House) -> None:
    sheet = answered(program)
    program.post("/api/v1/acts/add-place", {"code": "C-1"}, key="k-1")
    assert program.post(f"{sheet}/save", {}, 422, "k-1")["code"] == "key_reused"
    export = {"kind": "export", "asked": {"list": "lots"}}
    program.post("/api/v1/jobs", export, 202, key="k-2")
    assert program.post(f"{sheet}/save", {}, 422, "k-2")["code"] == "key_reused"
    for role in ("stranger", "line"):
        assert key_of(plant, role).post(f"{sheet}/save", {}, 403)["code"] == "may_not"
    assert not Job.objects.filter(kind="save-sheet").exists()


def test_a_sheet_that_was_changed_or_thrown_away_meanwhile_is_not_saved(program: Program) -> None:
    sheet = answered(program)
    changed = program.send(f"{sheet}/save", {}, "k-1")
    program.send(sheet, {"kind": "plots"}, method="patch", If_Match="*")
    work()
    assert looked_at(program, changed)["problem"]["errors"][0]["code"] == "kind_changed"
    program.send(sheet, {"kind": "intake"}, method="patch", If_Match="*")
    gone = program.send(f"{sheet}/save", {}, "k-2")
    SheetDraft.objects.all().delete()
    work()
    assert "No such sheet" in looked_at(program, gone)["problem"]["detail"]
    assert not Operation.objects.exists()
