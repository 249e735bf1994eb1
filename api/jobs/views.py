"""Long work by a program: ask for it, look how far it is, fetch its file, cancel it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from http import HTTPStatus
from typing import Any, ClassVar

from django.http import FileResponse, HttpResponse
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from api.jobs.asking import ask_job, cancel_job, file_of, task_of
from api.jobs.kinds import JobKind, Task, job_kind, job_kinds
from api.jobs.models import DONE, ENDED, Job
from api.jobs.telling import SOON, accepted, job_json
from api.scopes import READ, ScopeMissing, opens, wanted
from api.unusable import NotThere, Unusable
from api.v1.asked import asked, key_if_sent, key_sent, person_of, station_for
from api.v1.conditions import unless_known
from api.v1.describing import ANY, Told, content, reads, sends
from api.v1.listing import Things, row_with_uid
from api.v1.shapes import words_shape
from api.v1.shelves import BY_NAME
from inventory.importing.words import WordMissing, WrongShape, fill
from inventory.rules.mistakes import Mistake, Refused

SHELF = BY_NAME["jobs"]
EXAMPLE = {"kind": "export", "asked": {"list": "lots", "format": "csv", "filters": ["hold=false"]}}


class NotDoneYet(Mistake):
    """The file of a job that has not ended."""

    code = "job_not_done"

    def __init__(self, state: str) -> None:
        super().__init__(
            f"This job is {state}. Look at it again in {SOON} seconds; its result is there when it is done."
        )


class NoFile(Mistake):
    """The file of a job that has none."""

    code = "job_without_file"

    def __init__(self, state: str) -> None:
        super().__init__(f"This job is {state} and has no file. Ask for it again if you need one.")


class TooEarly(Unusable):
    """Something that will be there later."""

    status_code = HTTPStatus.CONFLICT
    headers: ClassVar[dict[str, str]] = {"Retry-After": SOON}


@dataclass(frozen=True, kw_only=True)
class KindSent:
    """What is to be done."""

    kind: str


class Jobs(Things):
    """Jobs, and asking for one."""

    shelf = SHELF

    def post(self, request: Request) -> Response:
        """Queue a job and say where it is looked at; with the same Idempotency-Key it is the same job."""
        asked(request)
        words = dict(request.data)
        wanted_so = _asked(words.pop("asked", None))
        station, person = station_for(request), person_of(request)
        kind = job_kind(fill(KindSent, words).kind, station.code)
        _may_do(request, kind, task_of(kind, wanted_so, station=station, person=person))
        job = ask_job(
            kind.name, wanted_so, station=station, by=person, now=datetime.now(UTC), key=key_if_sent(request)
        )  # fmt: skip
        return accepted(job, request)

    @staticmethod
    def told(method: str) -> Told | None:
        """Describe asking; listing is described as every list is."""
        if method != "POST":
            return None
        kinds = {name: {**words_shape(kind.words), "description": kind.tells} for name, kind in job_kinds().items()}
        body = {
            "type": "object", "required": ["kind", "asked"], "additionalProperties": False,
            "properties": {
                "kind": {"type": "string", "description": f"one of {', '.join(kinds)}"},
                "asked": {"anyOf": list(kinds.values())},
            },
        }  # fmt: skip
        return sends("Ask for long work", body, EXAMPLE, {"202": content("it waits; Location says where", ANY)})


class OneJob(APIView):
    """One job."""

    shelf = SHELF

    def get(self, request: Request, name: str) -> HttpResponse:
        """Answer how far it is, and where its file is fetched."""
        asked(request)
        job = _named(request, name)
        answer = unless_known(request, job_json(job, request))
        if job.state not in ENDED:
            answer["Retry-After"] = SOON
        return answer

    def delete(self, request: Request, name: str) -> HttpResponse:
        """Cancel it; one that has ended is forgotten with its file."""
        asked(request)
        job = cancel_job(_named(request, name), datetime.now(UTC))
        return HttpResponse(status=204) if job is None else Response(job_json(job, request))

    @staticmethod
    def told(method: str) -> Told:
        """Describe both."""
        if method == "GET":
            return reads("How far a job is, and where its file is", ANY)
        gone = {"description": "it had ended and is forgotten with its file"}
        answers = {"200": content("it is cancelled, or stops at its next step", ANY), "204": gone}
        return {"summary": "Cancel a job", "parameters": [], "responses": answers}


class JobResult(APIView):
    """The file of a job."""

    is_stream = True

    def get(self, request: Request, name: str) -> FileResponse:
        """Send it, to a key that might have asked for it: another of the same account may have done so."""
        asked(request)
        job = _named(request, name)
        _may_fetch(request, job)
        if job.state not in ENDED:
            raise TooEarly(NotDoneYet(job.state))
        file = file_of(job)
        if job.state != DONE or not job.file_name or not file.exists():
            raise NotThere(NoFile(job.state))
        return FileResponse(
            file.open("rb"), as_attachment=True, filename=job.file_name, content_type=job.media_type
        )  # fmt: skip

    @staticmethod
    def told(_method: str) -> Told:
        """Describe it."""
        file = {"*/*": {"schema": {"type": "string", "format": "binary"}}}
        return {
            **reads("The file of a job that is done", ANY),
            "responses": {"200": {"description": "the file", "content": file}, "409": content("not done yet", ANY)},
        }


def _asked(sent: Any) -> dict[str, Any]:
    if sent is None:
        raise Refused([WordMissing("asked")])
    if not isinstance(sent, Mapping):
        raise Refused([WrongShape("asked", sent, "an object with the words of this kind of job")])
    return dict(sent)


def _may_do(request: Request, kind: JobKind, task: Task) -> None:
    """Hold the key against what the job would do for it: a job opens nothing that its key does not."""
    resource = kind.reads(task.words)
    given = key_sent(request).given
    if not opens(given, resource, kind.verb):
        raise ScopeMissing(wanted(resource, kind.verb), given)


def _may_fetch(request: Request, job: Job) -> None:
    """Hold the key against what a job's file holds."""
    resource, verb = _of_what(job)
    given = key_sent(request).given
    if not opens(given, resource, READ) and not opens(given, resource, verb):
        raise ScopeMissing(wanted(resource, READ), given)


def _of_what(job: Job) -> tuple[str, str]:
    """Give the resource and verb of a job; the broadest where its kind is not here any more."""
    try:
        kind = job_kind(job.kind, job.station.code)
        return kind.reads(task_of(kind, job.asked, station=job.station, person=job.by).words), kind.verb
    except (Mistake, Refused):
        return "", READ


def _named(request: Request, name: str) -> Job:
    job: Job = row_with_uid(request, SHELF, name, "by", "station")
    return job
