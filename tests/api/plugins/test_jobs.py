"""Long work of plugins: queued, done by the worker, fetched, cancelled, and named when it fails."""

from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from api.jobs.doing import do_next_job
from api.tokens import make_token
from api.work.duties import do_duties
from hilum.plugins import JobAsked, JobMade, MeasurementField, PluginJob
from hilum.plugins.books import books
from inventory.models import ToldPlugin
from tests.api.asking import Program
from tests.inventory.lamp import lamp
from tests.make import NOW, House, house, received

pytestmark = pytest.mark.django_db
HOURS = MeasurementField("hours", "hours", most=Decimal(100), example="12")


@pytest.fixture
def plant(settings: Any, tmp_path: Path) -> House:
    settings.DATA_DIR = tmp_path
    plant = house()
    received(plant)
    return plant


@pytest.fixture
def program(plant: House) -> Program:
    return Program(make_token(plant.records, scopes=["read", "write"], days=None, now=NOW))


def report(asked: JobAsked, progress: Callable[[int, int], None]) -> JobMade:
    lots = books().lots(asked.station)
    progress(1, 2)
    text = f"{asked.person} {asked.values['hours']} {lots[0].number} {lots[0].left_mg}"
    return JobMade("1 lot.", text.encode(), "report.txt", "text/plain")


def job(do: Callable[..., Any] = report) -> Callable[[], list[PluginJob]]:
    return lambda: [PluginJob("soak_report", "All soaks.", (HOURS,), do)]


def asked_for(program: Program, status: int = 202, **words: Any) -> Any:
    return program.post("/api/v1/jobs", {"kind": "soak_report", "asked": words}, status)


def ended(program: Program, told: Any) -> tuple[str, str]:
    assert do_next_job(is_beaten=False) == 1
    found = program.get(f"/api/v1/jobs/{told['id']}")
    return found["state"], found["says"]


def test_it_is_done_by_the_worker_and_its_file_is_fetched(program: Program) -> None:
    with lamp(jobs=job()):
        told = asked_for(program, hours="12,5")
        assert ended(program, told) == ("done", "1 lot.")
        where = program.get(f"/api/v1/jobs/{told['id']}")["result"]
        answer = program.client.get(where, headers=program.headers)
    assert b"".join(answer.streaming_content) == b"records-st 12.5 24-0001-5 800000000"
    assert answer["Content-Type"] == "text/plain"


def test_without_its_plugin_there_is_no_such_job(program: Program) -> None:
    assert "'soak_report' is no kind of job" in asked_for(program, 404, hours="4")["detail"]


def test_what_it_cannot_be_asked_is_said_at_its_field(program: Program) -> None:
    with lamp(jobs=job()):
        problem = asked_for(program, 422, hours="400")
    assert problem["errors"][0]["field"] == "hours"


def unkept(*_asked: Any) -> JobMade:
    raise ValueError("half \0 read")


@pytest.mark.parametrize(
    "do",
    [
        lambda *_: 1 / 0, lambda *_: 7, unkept, lambda *_: JobMade("1\0"), lambda *_: JobMade("1", b"", "a" * 201),
        lambda *_: JobMade("1", b"", "a\r\nb"), lambda *_: JobMade("1", b"", "a", "text/plain\n"),
        lambda *_: JobMade("1", "text", "a"),  # type: ignore[arg-type]
    ],
)  # fmt: skip
def test_one_that_fails_names_its_plugin(program: Program, do: Callable[..., Any]) -> None:
    with lamp(jobs=job(do)):
        state, says = ended(program, asked_for(program, hours="4"))
    assert state == "failed"
    assert says.startswith("The plugin lamp failed (")


def test_it_is_refused_where_the_plugin_is_off(program: Program) -> None:
    with lamp(jobs=job(), off_at=("ST",)):
        assert asked_for(program, 404, hours="4")["code"] == "unknown_word"


def test_the_worker_tells_plugins_of_acts(plant: House) -> None:
    heard: list[int] = []

    def after_commit(acts: Any) -> None:
        heard.extend(act.number for act in acts)

    with lamp(after_commit=after_commit):
        assert do_duties()["plugins are told"] == 1
        assert do_duties()["plugins are told"] == 0
    assert heard == [1]
    assert ToldPlugin.objects.get().seq == 1
