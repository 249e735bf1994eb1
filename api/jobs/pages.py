"""The page Jobs: long work that was asked for, how far it is, its file, and the button that ends it."""

from datetime import UTC, datetime
from typing import Any
from uuid import UUID

from django.contrib.auth.models import User
from django.db.models import QuerySet
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from api.jobs.asking import cancel_job, file_of
from api.jobs.kinds import job_kinds
from api.jobs.models import CANCELLED, DONE, ENDED, FAILED, WAITING, WORKING, Job
from inventory.models import Station
from inventory.pages.acts import UNPROCESSABLE, person
from inventory.pages.areas import request_role
from inventory.pages.frame import station_here
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.reading import field_words, uid_in
from inventory.rules.roles import RECORDS

MOST_SHOWN = 50
LONGEST_SHOWN = 60  # characters of one word of what was asked for
_MARKS = {WAITING: ("○", ""), WORKING: ("◐", "near"), DONE: ("●", "fine"), FAILED: ("✕", "over"), CANCELLED: ("–", "")}


class NotListed(Mistake):
    """A job that is not on the page of whoever presses its button."""

    code = "not_listed"

    def __init__(self) -> None:
        super().__init__("This job is not one of yours, or it was forgotten already. Load the page again.")


class NotYoursToForget(Mistake):
    """Somebody else's job that has ended: its file is theirs."""

    code = "not_yours_to_forget"

    def __init__(self, owner: str) -> None:
        super().__init__(f"This job has ended and its file is {owner}'s. They forget it, or it is forgotten in a week.")


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def jobs(request: HttpRequest) -> HttpResponse:
    """List jobs, a person's own or to records the station's; end one."""
    station, by, all_of = station_here(request), person(request), request_role(request) == RECORDS
    context: dict[str, Any] = {"all": all_of}
    if request.method == "POST":
        try:
            context["said"] = _ended(request.POST.get("end", ""), _theirs(station, by, all_of=all_of), by)
        except Refused as refused:
            context["wrong"] = refused.mistakes
    tells = {name: kind.tells for name, kind in job_kinds().items()}
    found = _theirs(station, by, all_of=all_of)[:MOST_SHOWN]
    context["jobs"] = [_shown(job, by, tells.get(job.kind, "")) for job in found]
    return render(request, "api/jobs.html", context, status=UNPROCESSABLE if "wrong" in context else 200)


@require_safe
def job_file(request: HttpRequest, uid: UUID) -> FileResponse:
    """Send a job's file, to whoever asked for it alone: it holds what they may see.

    Raises:
        Http404: there is none.
    """
    job = _theirs(station_here(request), person(request), all_of=False).filter(uid=uid, state=DONE).first()
    if job is None or not job.file_name or not file_of(job).exists():
        raise Http404(gettext("There is no such file of yours. Ask for it again if you need one."))
    return FileResponse(
        file_of(job).open("rb"), as_attachment=True, filename=job.file_name, content_type=job.media_type
    )  # fmt: skip


def _theirs(station: Station, by: User, *, all_of: bool) -> "QuerySet[Job]":
    found = Job.objects.filter(station=station).select_related("by").order_by("-pk")
    return found if all_of else found.filter(by=by)


def _ended(typed: str, theirs: "QuerySet[Job]", by: User) -> str:
    uid = uid_in(typed)
    job = theirs.filter(uid=uid).first() if uid else None
    if job is None:
        raise Refused([NotListed()])
    if job.state in ENDED and job.by_id != by.pk:
        raise Refused([NotYoursToForget(job.by.get_username())])
    after = cancel_job(job, datetime.now(UTC))
    if after is None:
        return gettext("The job is forgotten, with its file.")
    return gettext("It is cancelled.") if after.state == CANCELLED else gettext("It stops at its next step.")


def _shown(job: Job, by: User, tells: str) -> dict[str, Any]:
    mark, colour = _MARKS[job.state]
    is_theirs, has_ended = job.by_id == by.pk, job.state in ENDED
    asked = ", ".join(f"{field_words(name)} {_plain(value)}" for name, value in job.asked.items() if _plain(value))
    return {
        "job": job, "tells": tells, "asked": asked, "mark": mark, "colour": colour, "has_ended": has_ended,
        "has_file": is_theirs and job.state == DONE and bool(job.file_name),
        "may_end": (is_theirs or not has_ended) and not job.is_to_stop,
    }  # fmt: skip


def _plain(value: object) -> str:
    """Write what was asked for in a few words; ids, parts and what is longer than a line are left to programs."""
    text = " ".join(map(str, value)) if isinstance(value, list) else str(value) if isinstance(value, (str, int)) else ""
    return text if len(text) <= LONGEST_SHOWN and not uid_in(text) else ""
