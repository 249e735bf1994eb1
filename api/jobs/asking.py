"""Ask for long work, cancel it, forget it."""

from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.auth.models import User
from django.db import IntegrityError, transaction

from api.jobs.kinds import JobKind, Task, job_kind
from api.jobs.models import CANCELLED, ENDED, WAITING, WORKING, Job
from api.v1.values import as_kept
from inventory.actions.acting import KeyReused
from inventory.importing.words import fill
from inventory.models import Station
from inventory.rules.mistakes import Mistake, Refused

MOST_WAITING = 20  # of one account; whoever asks for more is told to wait


class TooManyWait(Mistake):
    """More work than one account may have waiting."""

    code = "too_many_jobs"

    def __init__(self) -> None:
        super().__init__(f"{MOST_WAITING} jobs of yours wait already. Let some end, or cancel them, and ask again.")


def ask_job(
    kind: str, asked: Mapping[str, Any], *, station: Station, by: User, now: datetime, key: str = ""
) -> Job:  # fmt: skip
    """Queue a job; the same key with the same content is the same job.

    Raises:
        Mistake, Refused, Unusable: it cannot be done as it is asked.
    """
    asked = as_kept(asked)
    before = Job.objects.filter(station=station, key=key).first() if key else None
    if before is not None:
        return _same(before, kind, asked, by)
    found = job_kind(kind, station.code)
    found.check(task_of(found, asked, station=station, person=by))
    if Job.objects.filter(by=by, state__in=(WAITING, WORKING)).count() >= MOST_WAITING:
        raise Refused([TooManyWait()])
    try:
        with transaction.atomic():
            return Job.objects.create(
                station=station, by=by, kind=found.name, asked=asked, key=key, made_at=now
            )  # fmt: skip
    except IntegrityError:  # its twin was quicker
        return _same(Job.objects.get(station=station, key=key), kind, asked, by)


def task_of(
    kind: JobKind, asked: Mapping[str, Any], *, station: Station, person: User, file: Path = Path(), key: str = ""
) -> Task:  # fmt: skip
    """Fill a kind's words with what was asked.

    Raises:
        Refused: an unknown field, or one of another shape.
    """
    return Task(station, person, fill(kind.words, asked), file, key)


def cancel_job(job: Job, now: datetime) -> Job | None:
    """End a job: what waits is cancelled, what is worked on is told to stop, what has ended is forgotten.

    Returns:
        The job as it is now; None where it is gone.
    """
    is_off = Job.objects.filter(pk=job.pk, state=WAITING).update(
        state=CANCELLED, ended_at=now, says="It was cancelled."
    )
    if not is_off and not Job.objects.filter(pk=job.pk, state=WORKING).update(is_to_stop=True):
        forget_jobs([job])
        return None
    job.refresh_from_db()
    return job


def forget_jobs(jobs: "list[Job]") -> int:
    """Take ended jobs and their files away."""
    for job in jobs:
        file_of(job).unlink(missing_ok=True)
    return Job.objects.filter(pk__in=[job.pk for job in jobs], state__in=ENDED).delete()[0]


def file_of(job: Job) -> Path:
    """Where a job's file lies, which its owner alone may read."""
    return Path(settings.DATA_DIR) / "jobs" / str(job.uid)


def _same(before: Job, kind: str, asked: Mapping[str, Any], by: User) -> Job:
    if (before.kind, before.asked, before.by_id) != (kind, asked, by.pk):
        raise Refused([KeyReused(before.key)])
    return before
