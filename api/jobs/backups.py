"""A backup of the whole site as a job: for superusers alone, since it holds every station and the passwords' prints."""

from dataclasses import dataclass

from api.jobs.kinds import JobKind, Made, Progress, Task
from inventory.queries.backing_up import back_up
from inventory.rules.mistakes import Mistake, Refused


@dataclass(frozen=True)
class BackupWords:
    """A backup asks for nothing."""


class BackupIsNotYours(Mistake):
    """A backup asked for by an account that does not keep the site."""

    code = "backup_not_yours"

    def __init__(self) -> None:
        says = "A backup holds all stations and all accounts, so only an account that keeps the whole site may ask."
        super().__init__(f"{says} Ask such a one, or run manage.py backup on the computer itself.")


def _check(task: Task) -> None:
    if not task.person.is_superuser:
        raise Refused([BackupIsNotYours()])


def _do(task: Task, progress: Progress) -> Made:
    _check(task)
    progress(0, 1)
    manifest = back_up(task.file)
    acts = sum(books.operations for books in manifest.books)
    says = f"{manifest.rows:,} rows of {len(manifest.tables)} tables, {acts:,} acts."
    return Made(says, f"hilum-{manifest.made_at[:10]}.zip", "application/zip")


BACKUP = JobKind(
    "backup", "Everything of all stations in one file that restores on either database", BackupWords, _do, _check
)
