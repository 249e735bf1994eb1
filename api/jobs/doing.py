"""Do what waits: one job at a time, by one worker, who is heard of while it works.

A worker takes a job by one conditional UPDATE, so that two never have the same one. While it works, a thread of its own
says that it lives and reads whether the job is to stop: the work itself may stand in a read-only snapshot of the books.
A job whose worker was not heard of for a minute is taken up once more, and fails if that one is lost as well.
"""

import logging
import os
import socket
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from typing import Any

from django.db import close_old_connections, connection
from django.db.models import F, Q

from api.jobs.asking import file_of, forget_jobs, task_of
from api.jobs.kinds import Made, job_kind
from api.jobs.models import CANCELLED, DONE, ENDED, FAILED, WAITING, WORKING, Job
from api.unusable import Unusable
from inventory.rules.mistakes import Mistake, Refused

logger = logging.getLogger("hilum.work")
STOPPING = threading.Event()  # set when the worker is told to end
LOST_AFTER = timedelta(minutes=1)
KEPT_FOR = timedelta(days=7)
MOST_TRIES = 2
_BEAT = 2.0  # seconds
LOST = "Its worker ended before the job did, twice. Ask for it again; if it ends so again, the worker's log says why."
OURS = "It failed by a fault of ours. The worker's log says more; ask for it again, or tell whoever keeps this site."
CUT_OFF = "It was cancelled."
CLOSED = "Its account is closed. Ask for it with one that is open."


class Stopped(Exception):  # noqa: N818 - it was asked for
    """The job was cancelled while it was worked on, or another worker has it now."""


class PutBack(Stopped):
    """The worker itself is to stop: the job waits again."""


class Watch:
    """What a worker and the database tell each other of a job: how far it is, and whether it is to stop.

    Args:
        is_beaten: a thread beats; else each step does, which is for tests.
    """

    def __init__(self, job: Job, *, is_beaten: bool) -> None:
        self._job, self._is_beaten, self._percent, self._is_to_stop = job, is_beaten, 0, False

    def __call__(self, done: int, of: int) -> None:
        """Say how far it is.

        Raises:
            Stopped: it is to stop, or its worker is.
        """
        self._percent = min(99, 100 * done // of) if of > 0 else 0
        if not self._is_beaten:
            self.beat()
        if self._is_to_stop:
            raise Stopped
        if STOPPING.is_set():
            raise PutBack

    def beat(self) -> None:
        """Write how far it is, and read whether it is to stop (2 queries)."""
        mine = Job.objects.filter(pk=self._job.pk, state=WORKING, worker=self._job.worker)
        is_mine = mine.update(percent=self._percent, seen_at=datetime.now(UTC))
        self._is_to_stop = not is_mine or mine.filter(is_to_stop=True).exists()


def do_next_job(*, is_beaten: bool = True) -> int:
    """Do the job that waits longest.

    Returns:
        1, or 0 where none waits.
    """
    job = _taken()
    if job is None:
        return 0
    watch = Watch(job, is_beaten=is_beaten)
    try:
        with _beating(watch) if is_beaten else _unbeaten():
            made = _done(job, watch)
    except PutBack:
        _end(job, WAITING, "", worker="", percent=0, tries=job.tries - 1)
    except Stopped:
        _end(job, CANCELLED, CUT_OFF)
    except (Refused, Mistake, Unusable) as refusal:
        _end(job, FAILED, str(getattr(refusal, "detail", refusal)), mistakes=_told(refusal))
    except Exception:
        logger.exception("The job %s (%s) failed.", job.uid, job.kind)
        _end(job, FAILED, OURS)
    else:
        _end(job, DONE, made.says, percent=100, file_name=made.file_name, media_type=made.media_type)
    return 1


def take_up_lost(now: datetime | None = None) -> int:
    """Let jobs go on whose worker was not heard of for a minute; a second time they fail, and told to stop they end.

    Returns:
        How many.
    """
    moment = now or datetime.now(UTC)
    is_lost = Q(state=WORKING, seen_at__lt=moment - LOST_AFTER)
    lost, to_stop = Job.objects.filter(is_lost), Job.objects.filter(is_lost | Q(state=WAITING), is_to_stop=True)
    stopped = to_stop.update(state=CANCELLED, says=CUT_OFF, ended_at=moment)
    failed = lost.filter(tries__gte=MOST_TRIES).update(state=FAILED, says=LOST, ended_at=moment)
    return stopped + failed + lost.update(state=WAITING, worker="", percent=0)


def forget_old_jobs(now: datetime | None = None) -> int:
    """Forget jobs that ended a week ago, with their files."""
    old = Job.objects.filter(state__in=ENDED, ended_at__lt=(now or datetime.now(UTC)) - KEPT_FOR)
    return forget_jobs(list(old[:100]))


def _taken() -> Job | None:
    """Take the job that waits longest; of two workers who see the same one, one gets it."""
    worker = f"{socket.gethostname()[:40]}:{os.getpid()}"
    for job in Job.objects.filter(state=WAITING, is_to_stop=False).order_by("pk")[:10]:
        now = datetime.now(UTC)
        is_mine = Job.objects.filter(pk=job.pk, state=WAITING).update(
            state=WORKING, worker=worker, tries=F("tries") + 1, began_at=now, seen_at=now, percent=0
        )
        if is_mine:
            return Job.objects.select_related("station", "by").get(pk=job.pk)
    return None


def _done(job: Job, watch: Watch) -> Made:
    if not job.by.is_active:
        raise Refused([Mistake(CLOSED)])
    kind, file = job_kind(job.kind), file_of(job)
    file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    file.unlink(missing_ok=True)  # what an earlier worker left of it
    key = job.key or f"job-{job.uid}"
    return kind.do(task_of(kind, job.asked, station=job.station, person=job.by, file=file, key=key), watch)


def _end(job: Job, state: str, says: str, **more: Any) -> None:
    """Write how it ended, unless another worker has it by now."""
    mine = Job.objects.filter(pk=job.pk, state=WORKING, worker=job.worker)
    ended = None if state == WAITING else datetime.now(UTC)
    if mine.update(state=state, says=says, ended_at=ended, **more) and state != DONE:
        file_of(job).unlink(missing_ok=True)


def _told(refusal: Refused | Mistake | Unusable) -> list[dict[str, str]]:
    mistakes: Sequence[Mistake] = (refusal,) if isinstance(refusal, Mistake) else refusal.mistakes
    return [{"code": one.code, "field": one.field, "detail": one.says} for one in mistakes]


@contextmanager
def _beating(watch: Watch) -> Iterator[None]:
    """Let a thread beat, with a connection of its own, until the work ends."""
    ended = threading.Event()

    def beat() -> None:
        try:
            while not ended.wait(_BEAT):
                _beat_once(watch)
        finally:
            connection.close()

    thread = threading.Thread(target=beat, name="beat", daemon=True)
    thread.start()
    try:
        yield
    finally:
        ended.set()
        thread.join()


def _beat_once(watch: Watch) -> None:
    """Beat; a database that is busy or away, as SQLite is for others while a job books, is asked again."""
    try:
        close_old_connections()
        watch.beat()
    except Exception:
        logger.warning("A job's worker could not say that it lives.", exc_info=True)


@contextmanager
def _unbeaten() -> Iterator[None]:
    yield
