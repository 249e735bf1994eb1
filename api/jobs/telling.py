"""How a job is told to a program, and how an address answers that has queued one."""

from http import HTTPStatus
from typing import Any

from django.urls import reverse
from rest_framework.request import Request
from rest_framework.response import Response

from api.jobs.models import DONE, FAILED, Job
from api.v1.values import instant

SOON = "2"  # seconds after which it is worth while to look again


def accepted(job: Job, request: Request) -> Response:
    """Answer 202: the job, where it is looked at, and when."""
    headers = {"Location": job_address(request, job), "Retry-After": SOON}
    return Response(job_json(job, request), status=HTTPStatus.ACCEPTED, headers=headers)


def job_json(job: Job, request: Request) -> dict[str, Any]:
    """Tell a job."""
    address, has_file = job_address(request, job), job.state == DONE and bool(job.file_name)
    return {
        "id": str(job.uid), "url": address, "kind": job.kind, "asked": job.asked, "state": job.state,
        "percent": job.percent, "says": job.says, "by": job.by.get_username(), "made_at": instant(job.made_at),
        "began_at": instant(job.began_at), "ended_at": instant(job.ended_at),
        "result": f"{address}/result" if has_file else None,
        "problem": {"detail": job.says, "errors": job.mistakes} if job.state == FAILED else None,
    }  # fmt: skip


def job_address(request: Request, job: Job) -> str:
    """Say where a job is looked at."""
    return request.build_absolute_uri(reverse("api-job", args=[job.uid]))
