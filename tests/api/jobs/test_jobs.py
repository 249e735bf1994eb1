"""Long work: asked for, looked at, fetched, cancelled; what a crash leaves behind."""

import io
import json
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from unittest import mock

import pytest
from django.core.management import call_command

from api.jobs import doing, kinds
from api.jobs.asking import MOST_WAITING, file_of
from api.jobs.doing import LOST_AFTER, do_next_job, forget_old_jobs, take_up_lost
from api.jobs.kinds import JobKind, Made, Progress, Task
from api.jobs.models import STATES, Job
from api.work import duties
from inventory.queries.archives import is_backup
from inventory.queries.packages import is_package
from tests.api.asking import Program, program_of
from tests.make import NOW, House, house, received

pytestmark = pytest.mark.django_db
LOTS = {"kind": "export", "asked": {"list": "lots", "format": "csv", "fields": "lot,left"}}


@pytest.fixture
def plant(settings: Any, tmp_path: Path) -> House:
    settings.DATA_DIR = tmp_path
    return house()


def key_of(plant: House, role: str = "records", *scopes: str) -> Program:
    return program_of(plant.people[role], *scopes)


def work() -> int:
    return do_next_job(is_beaten=False)


def asked_for(program: Program, body: Any = LOTS, **more: Any) -> dict[str, Any]:
    told: dict[str, Any] = program.post("/api/v1/jobs", body, 202, **more)
    return told


def doing_instead(do: Callable[[Task, Progress], Made]) -> Any:
    """Let an export be done by another function."""
    kind = JobKind("export", "", kinds.job_kinds()["export"].words, do)
    return mock.patch("api.jobs.doing.job_kind", lambda _name: kind)


def test_long_work_is_queued_done_by_the_worker_and_its_file_is_fetched(plant: House) -> None:
    received(plant)
    program = key_of(plant)
    answer = program.send("/api/v1/jobs", LOTS)
    assert (answer.status_code, answer["Retry-After"]) == (202, "2")
    where = answer["Location"].removeprefix("http://testserver")
    assert answer.json()["state"] == "waiting"
    early = program.client.get(f"{where}/result", headers=program.headers)
    assert (early.status_code, early["Retry-After"], early.json()["code"]) == (409, "2", "job_not_done")
    assert (work(), work()) == (1, 0)
    told = program.get(where)
    assert (told["state"], told["percent"], told["says"], told["problem"]) == ("done", 100, "1 lots.", None)
    file = program.client.get(told["result"].removeprefix("http://testserver"), headers=program.headers)
    assert b"".join(file.streaming_content).decode().splitlines() == ["lot,left_kg", "24-0001-5,800.0"]
    assert file["Content-Disposition"] == 'attachment; filename="lots.csv"'
    assert program.get("/api/v1/jobs?state=done")["results"][0]["id"] == told["id"]


def test_the_same_key_is_the_same_job_and_other_content_is_refused(plant: House) -> None:
    program = key_of(plant)
    first = asked_for(program, key="k")
    assert asked_for(program, key="k")["id"] == first["id"]
    other = {**LOTS, "asked": {"list": "bags"}}
    assert program.post("/api/v1/jobs", other, 422, key="k")["code"] == "key_reused"
    assert Job.objects.count() == 1


@pytest.mark.parametrize(
    ("body", "status", "says"),
    [
        ({}, 422, "asked"),
        ({"asked": {}}, 422, "kind is missing"),
        ({"kind": "export"}, 422, "asked"),
        ({"kind": "dig", "asked": {}}, 404, "kind of job"),
        ({"kind": "export", "asked": {"list": "lots", "colour": "red"}}, 422, "colour"),
        ({"kind": "export", "asked": {"list": "beans"}}, 400, "'beans' is no list"),
        ({"kind": "export", "asked": {"list": "lots", "format": "pdf"}}, 400, "'pdf' is no format"),
        ({"kind": "export", "asked": {"list": "lots", "fields": "lot,taste"}}, 400, "taste"),
        ({"kind": "export", "asked": {"list": "lots", "filters": ["lien=N-1"]}}, 400, "lien"),
        ({"kind": "export", "asked": {"list": "lots", "filters": ["lot"]}}, 400, "'lot' is no filter"),
        ({"kind": "export", "asked": {"list": "lots", "filters": ["left__gte=x"]}}, 400, "kilograms"),
        ({"kind": "export", "asked": {"list": "lots", "filters": ["lot=\0"]}}, 422, "cannot be kept"),
        ({"kind": "export", "asked": [1, 2]}, 422, "asked"),
        ({"kind": ["export"], "asked": {}}, 422, "kind"),
        ({"kind": "backup", "asked": {}}, 422, "an account that keeps the whole site"),
    ],
)
def test_what_cannot_be_done_is_refused_before_it_is_queued(plant: House, body: Any, status: int, says: str) -> None:
    problem = key_of(plant).post("/api/v1/jobs", body, status)
    assert says.casefold() in problem["detail"].casefold()
    assert not Job.objects.exists()


def test_a_job_opens_nothing_that_its_key_does_not(plant: House) -> None:
    asked_for(key_of(plant, "records", "jobs:write", "lots:read"))
    problem = key_of(plant, "records", "jobs:write").post("/api/v1/jobs", LOTS, 403)
    assert "lots:read" in problem["detail"]
    samples = {"kind": "export", "asked": {"list": "samples"}}
    key_of(plant, "records", "jobs:write", "lots:read").post("/api/v1/jobs", samples, 403)


def test_nobody_sees_the_jobs_of_another(plant: House) -> None:
    told = asked_for(key_of(plant))
    for other in (key_of(plant, "bench"), key_of(house("OT"))):
        assert other.get("/api/v1/jobs")["results"] == []
        other.get(f"/api/v1/jobs/{told['id']}", 404)
        assert other.send(f"/api/v1/jobs/{told['id']}", "", method="delete").status_code == 404
    key_of(plant).get("/api/v1/jobs/x", 404)


def test_what_waits_is_cancelled_and_what_has_ended_is_forgotten_with_its_file(plant: House) -> None:
    program = key_of(plant)
    where = f"/api/v1/jobs/{asked_for(program)['id']}"
    assert program.send(where, "", method="delete").json()["state"] == "cancelled"
    assert work() == 0
    assert program.get(f"{where}/result", 404)["code"] == "job_without_file"
    done = asked_for(program)
    work()
    job = Job.objects.get(uid=done["id"])
    assert file_of(job).exists()
    assert program.send(f"/api/v1/jobs/{done['id']}", "", method="delete").status_code == 204
    assert not file_of(job).exists()
    program.get(f"/api/v1/jobs/{done['id']}", 404)


def test_what_is_worked_on_stops_at_its_next_step(plant: House) -> None:
    program = key_of(plant)
    where = f"/api/v1/jobs/{asked_for(program)['id']}"
    steps: list[int] = []

    def long_work(task: Task, progress: Progress) -> Made:
        task.file.write_text("half")
        for step in range(10):
            progress(step, 10)
            steps.append(step)
            if step == 4:
                assert program.get(where)["percent"] == 40
                assert program.send(where, "", method="delete").json()["state"] == "working"
        return Made("never")

    with doing_instead(long_work):
        work()
    assert steps == [0, 1, 2, 3, 4]
    assert program.get(where)["state"] == "cancelled"
    assert not file_of(Job.objects.get()).exists()


def test_a_fault_of_ours_is_said_without_its_traceback(plant: House) -> None:
    told = asked_for(key_of(plant))
    with doing_instead(mock.Mock(side_effect=ZeroDivisionError("secret"))):
        work()
    job = key_of(plant).get(f"/api/v1/jobs/{told['id']}")
    assert (job["state"], job["result"]) == ("failed", None)
    assert "fault of ours" in job["problem"]["detail"] and "secret" not in str(job)


def test_a_file_is_fetched_by_a_key_alone_that_may_read_what_it_holds(plant: House) -> None:
    result = f"/api/v1/jobs/{asked_for(key_of(plant))['id']}/result"
    work()
    narrow = key_of(plant, "records", "jobs:read", "sheets:read")
    assert "the scope lots:read" in narrow.get(result, 403)["detail"]
    enough = key_of(plant, "records", "jobs:read", "lots:read")
    assert enough.client.get(result, headers=enough.headers).status_code == 200
    Job.objects.update(kind="of_a_plugin_that_is_gone")
    assert "the scope read" in enough.get(result, 403)["detail"]


def test_what_a_lost_worker_left_is_taken_up_once_and_then_fails_with_a_sentence(plant: House) -> None:
    told = asked_for(key_of(plant))
    crash = doing_instead(mock.Mock(side_effect=SystemExit))
    late = datetime.now(UTC) + LOST_AFTER + timedelta(seconds=1)
    for _time in range(2):
        with crash, pytest.raises(SystemExit):
            work()
        assert Job.objects.get().state == "working"
        assert take_up_lost(datetime.now(UTC)) == 0  # it may still be alive
        assert take_up_lost(late) == 1
    job = key_of(plant).get(f"/api/v1/jobs/{told['id']}")
    assert (job["state"], job["says"]) == ("failed", doing.LOST)


def test_a_job_that_was_cancelled_before_its_worker_was_lost_is_not_done_by_another(plant: House) -> None:
    program = key_of(plant)
    told = asked_for(program)
    with doing_instead(mock.Mock(side_effect=SystemExit)), pytest.raises(SystemExit):
        work()
    program.client.delete(f"/api/v1/jobs/{told['id']}", headers=program.headers)
    assert take_up_lost(datetime.now(UTC) + LOST_AFTER + timedelta(seconds=1)) == 1
    assert (work(), Job.objects.get().state) == (0, "cancelled")


def test_a_worker_that_was_thought_lost_writes_nothing_over_the_one_that_took_its_job(plant: House) -> None:
    asked_for(key_of(plant))

    def slow(_task: Task, progress: Progress) -> Made:
        Job.objects.update(worker="another:1")
        return Made("of the first")

    with doing_instead(slow):
        work()
    assert (Job.objects.get().state, Job.objects.get().says) == ("working", "")


def test_a_worker_that_is_told_to_end_lets_its_job_wait_again(plant: House) -> None:
    received(plant)
    asked_for(key_of(plant))
    try:
        doing.STOPPING.set()
        work()
    finally:
        doing.STOPPING.clear()
    job = Job.objects.get()
    assert (job.state, job.tries, job.worker) == ("waiting", 0, "")


def test_old_jobs_are_forgotten_with_their_files(plant: House) -> None:
    asked_for(key_of(plant))
    work()
    job = Job.objects.get()
    assert forget_old_jobs() == 0
    assert forget_old_jobs(datetime.now(UTC) + timedelta(days=8)) == 1
    assert not Job.objects.exists() and not file_of(job).exists()


def test_one_account_may_not_fill_the_queue(plant: House) -> None:
    program = key_of(plant)
    Job.objects.bulk_create(
        Job(station=plant.station, by=plant.records, kind="export", made_at=NOW) for _job in range(MOST_WAITING)
    )
    assert program.post("/api/v1/jobs", LOTS, 422)["code"] == "too_many_jobs"


@pytest.mark.django_db(transaction=True)
def test_records_of_every_station_get_a_package(plant: House) -> None:
    asked_for(key_of(plant), {"kind": "package", "asked": {}})
    assert work()
    job = Job.objects.get()
    assert (job.state, job.media_type) == ("done", "application/zip"), job.mistakes
    assert is_package(file_of(job))
    house("OT")
    assert key_of(plant).post("/api/v1/jobs", {"kind": "package", "asked": {}}, 403)["code"] == "may_not_take_out"


@pytest.mark.django_db(transaction=True)
def test_whoever_keeps_the_site_gets_a_backup_of_it(plant: House) -> None:
    plant.records.is_superuser = True
    plant.records.save()
    asked_for(key_of(plant), {"kind": "backup", "asked": {}})
    out = io.StringIO()
    call_command("work", "--once", "--json", stdout=out)
    assert json.loads(out.getvalue())["done"]["jobs"] == 1
    job = Job.objects.get()
    assert (job.state, job.file_name[-4:]) == ("done", ".zip")
    assert is_backup(file_of(job))
    assert file_of(job).stat().st_mode & 0o077 == 0


def test_a_duty_that_fails_keeps_no_other_from_being_done() -> None:
    done: list[str] = []
    broken, kept = mock.Mock(side_effect=ZeroDivisionError), mock.Mock(side_effect=lambda: done.append("x") or 1)
    assert duties.do_duties({"broken": broken, "kept": kept}) == {"broken": -1, "kept": 1}
    err = io.StringIO()
    with mock.patch.object(duties, "DUTIES", {"broken": broken}), pytest.raises(SystemExit) as ended:
        call_command("work", "--once", stdout=io.StringIO(), stderr=err)
    assert ended.value.code == 1 and "broken failed" in err.getvalue()


def test_states_are_plain_words() -> None:
    assert STATES == ("waiting", "working", "done", "failed", "cancelled")
