"""Books in a database of their own, and real processes that work on them: what one connection cannot show."""

import json
import os
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[1]


@dataclass(frozen=True)
class OwnBooks:
    """A database by its environment: DATABASE_URL for PostgreSQL, else a folder for the embedded one."""

    folder: Path
    url: str = ""
    more: dict[str, str] = field(default_factory=dict)

    @property
    def environment(self) -> dict[str, str]:
        """The environment of a process that works on these books."""
        inherited = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
        own = {"HILUM_DATA": str(self.folder), "DJANGO_SETTINGS_MODULE": "tests.settings", **self.more}
        return {**inherited, **own, **({"DATABASE_URL": self.url} if self.url else {})}

    def manage(self, *arguments: str) -> "subprocess.CompletedProcess[str]":
        """Run one of the project's commands."""
        return subprocess.run(
            [sys.executable, "manage.py", *arguments], cwd=ROOT, env=self.environment, capture_output=True, text=True,
            check=False,
        )  # fmt: skip

    def start(self, job: str, **words: Any) -> "subprocess.Popen[str]":
        """Start a job of `tests/jobs.py`; it waits until `go` lets all of them run at once."""
        return subprocess.Popen(
            [sys.executable, "-m", "tests.jobs", job, json.dumps(words)], cwd=ROOT, env=self.environment, text=True,
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        )  # fmt: skip

    def call(self, job: str, **words: Any) -> Any:
        """Run a job alone."""
        return go([self.start(job, **words)])[0]


def go(jobs: "Sequence[subprocess.Popen[str]]") -> list[Any]:
    """Wait until every job is ready, let all of them run at once, and gather their answers."""
    for job in jobs:
        assert job.stdout is not None
        if job.stdout.readline() != "ready\n":
            raise AssertionError(f"A job did not start: {job.communicate()[1]}")
    for job in jobs:
        assert job.stdin is not None
        job.stdin.write("go\n")
        job.stdin.flush()
    answers = [job.communicate(timeout=240) for job in jobs]
    failed = [said for job, (_answer, said) in zip(jobs, answers, strict=True) if job.returncode]
    if failed:
        raise AssertionError("A job failed: " + "\n".join(failed))
    return [json.loads(answer) for answer, _said in answers]
