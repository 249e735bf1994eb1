"""A name for each request, so that what a program was told is found again in a log: X-Request-ID, theirs or ours."""

import re
from collections.abc import Callable
from uuid import uuid4

from django.http import HttpRequest, HttpResponse

HEADER = "X-Request-ID"
_KEPT = "HILUM_REQUEST_ID"
_SANE = re.compile(r"[A-Za-z0-9._:/+=-]{1,100}")  # nothing that could end a line of a log
Answer = Callable[[HttpRequest], HttpResponse]


def named_requests(get_response: Answer) -> Answer:
    """Give each request the id that it brings, or a new one, and answer with it."""

    def answer(request: HttpRequest) -> HttpResponse:
        sent = request.headers.get(HEADER, "")
        request.META[_KEPT] = sent if _SANE.fullmatch(sent) else str(uuid4())
        response = get_response(request)
        response.headers.setdefault(HEADER, request.META[_KEPT])
        return response

    return answer


def request_id_of(request: HttpRequest) -> str:
    """Give the id of a request; "" where it came past the door."""
    return str(request.META.get(_KEPT, ""))
