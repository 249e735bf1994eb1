"""Everything as a Data Package as a job, for books that are too long for a request to wait."""

from dataclasses import dataclass

from api.jobs.kinds import JobKind, Made, Progress, Task
from inventory.queries.packages import pack
from inventory.queries.taking_out import must_take_out


@dataclass(frozen=True)
class PackageWords:
    """A package asks for nothing."""


def _check(task: Task) -> None:
    must_take_out(task.person)


def _do(task: Task, progress: Progress) -> Made:
    _check(task)
    progress(0, 1)
    manifest = pack(task.file)
    says = f"{manifest.rows:,} rows of {len(manifest.tables)} tables."
    return Made(says, f"hilum-{manifest.made_at[:10]}.zip", "application/zip")


PACKAGE = JobKind(
    "package", "Everything as a Data Package, for records of every station", PackageWords, _do, _check
)  # fmt: skip
