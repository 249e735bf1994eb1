"""Sheets of many rows: checked and saved by the worker, with the same answers at the same addresses afterwards.

A check that is done counts for ten minutes and as long as the sheet has the same answers; saving checks anew whatever
was found before. Any sheet goes this way where its sender prefers it (RFC 7240, `Prefer: respond-async`).
"""

import json
import re
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta

from django.db.models import QuerySet
from django.http import HttpResponse
from django.utils.http import http_date
from rest_framework.request import Request
from rest_framework.response import Response

from api.jobs.asking import ask_job, file_of
from api.jobs.models import CANCELLED, DONE, ENDED, FAILED, Job
from api.jobs.sheets import CHECK_SHEET, SAVE_SHEET, answers_print
from api.jobs.telling import accepted
from api.registry import kind_of
from api.v1.asked import person_of
from api.v1.conditions import unless_known
from inventory.importing import limits
from inventory.models import Command, SheetDraft
from inventory.queries.loads import live_load
from inventory.rules.mistakes import Mistake, Refused

COUNTS_FOR = timedelta(minutes=10)
ASYNC = "respond-async"
_QUOTED = re.compile(r'"(?:[^"\\]|\\.)*"')


def prefers_async(request: Request) -> bool:
    """Say whether the sender would rather look again than wait (RFC 7240, section 4.1)."""
    sent = _QUOTED.sub("", request.headers.get("Prefer", ""))
    return any(one.partition(";")[0].strip().casefold() == ASYNC for one in sent.split(","))


def checked_later(request: Request, draft: SheetDraft) -> Response | None:
    """Queue the check of a sheet that was just sent; None where it is checked at once."""
    if not _is_for_later(request, draft):
        return None
    mine = _checks(draft).filter(by=person_of(request))
    return _accepted(mine.exclude(state__in=ENDED).first() or _ask_check(request, draft), request)


def findings_later(request: Request, draft: SheetDraft) -> HttpResponse | None:
    """Answer what the worker found in a sheet of many rows, or queue its check; None where it is checked at once.

    Raises:
        Refused: the worker refused the sheet.
    """
    if draft.rows <= limits.ROWS_AT_ONCE or not _is_for_later(request, draft):
        return None
    job = _latest_check(request, draft)
    if job is None:
        return accepted(_ask_check(request, draft), request)
    if job.state == FAILED:
        raise Refused([_said(one) for one in job.mistakes] or [Mistake(job.says)])
    if job.state != DONE:
        return accepted(job, request)
    answer = unless_known(request, json.loads(file_of(job).read_bytes()))
    if job.began_at:
        answer["Last-Modified"] = http_date(job.began_at.timestamp())
    return answer


def saved_later(request: Request, draft: SheetDraft, key: str) -> Response | None:
    """Queue the saving of a sheet, once for each key; None where it is saved, or its answer given again, at once.

    A key whose job came to nothing is free again, as that of a refused act is.
    """
    before = Job.objects.filter(station=draft.station, key=key).first()
    if before is None or before.state in ENDED:
        if Command.objects.filter(station=draft.station, key=key).exists() or not _is_for_later(request, draft):
            return None
        Job.objects.filter(station=draft.station, key=key, kind=SAVE_SHEET, state__in=ENDED).update(key="")
    asked = {"sheet": str(draft.uid), "kind": draft.kind}
    job = ask_job(
        SAVE_SHEET, asked, station=draft.station, by=person_of(request), now=datetime.now(UTC), key=key
    )  # fmt: skip
    return _accepted(job, request)


def _is_for_later(request: Request, draft: SheetDraft) -> bool:
    """It is long, or later is preferred; and there is something to do that was not done before."""
    if not draft.kind or not (draft.rows > limits.ROWS_AT_ONCE or prefers_async(request)):
        return False
    return live_load(draft.station, draft.sha256, draft.kind) is None


def _accepted(job: Job, request: Request) -> Response:
    answer = accepted(job, request)
    if prefers_async(request):
        answer["Preference-Applied"] = ASYNC
    return answer


def _asked(draft: SheetDraft) -> dict[str, str]:
    return {"sheet": str(draft.uid), "answers": answers_print(draft)}


def _checks(draft: SheetDraft) -> QuerySet[Job]:
    """Find the checks of a sheet with the answers that it has, the newest first."""
    checks = Job.objects.filter(station=draft.station, kind=CHECK_SHEET, asked=_asked(draft))
    return checks.exclude(state=CANCELLED).order_by("-pk")


def _latest_check(request: Request, draft: SheetDraft) -> Job | None:
    """Find what was found a short while ago by anybody's check; else one's own that runs or failed."""
    since = datetime.now(UTC) - COUNTS_FOR
    done = _checks(draft).filter(state=DONE, ended_at__gte=since).first()
    if done is not None and file_of(done).exists():
        return done
    mine = _checks(draft).filter(by=person_of(request))
    return mine.exclude(state=DONE).exclude(state=FAILED, ended_at__lt=since).first()


def _ask_check(request: Request, draft: SheetDraft) -> Job:
    return ask_job(
        CHECK_SHEET, _asked(draft), station=draft.station, by=person_of(request), now=datetime.now(UTC)
    )  # fmt: skip


def _said(told: Mapping[str, str]) -> Mistake:
    """Say again what a check was refused for, as the kind of mistake and under the code it had there."""
    kind = kind_of(told["code"])
    said: Mistake = kind.__new__(kind)  # its own words are not needed: the sentence is there
    Mistake.__init__(said, told["detail"], field=told["field"])
    said.__dict__["code"] = told["code"]
    return said
