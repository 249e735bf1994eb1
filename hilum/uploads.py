"""What is sent to us may not be large without end: a body over the limit is answered with a sentence and not kept."""

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render

from hilum.request_ids import request_id_of

Answer = Callable[[HttpRequest], HttpResponse]
TOO_LARGE = 413
PIECE = 64 * 1024
# A browser shows our answer only when it got rid of all it sends; beyond this it is cut off.
READ_AWAY_AT_MOST = 1024 * 1024 * 1024


def body_limit(get_response: Answer) -> Answer:
    """Refuse a body that says it is too large before any of it is kept."""

    def answer(request: HttpRequest) -> HttpResponse:
        length = request.META.get("CONTENT_LENGTH") or "0"
        if not length.isdecimal() or int(length) <= settings.LARGEST_BODY:
            return get_response(request)
        _read_away(request, int(length))
        if request.path.startswith(("/api/", "/brapi/")):
            return _to_a_program(request, int(length))
        context = {"sent": -(-int(length) // 1024**2), "most": settings.LARGEST_FILE // 1024**2}
        return render(request, "413.html", context, status=TOO_LARGE)

    return answer


def _to_a_program(request: HttpRequest, length: int) -> HttpResponse:
    says = f"The body has {length:,} bytes; at most {settings.LARGEST_BODY:,} are taken. Send less at once."
    if request.path.startswith("/brapi/"):  # that standard has errors as one text
        return JsonResponse(says, safe=False, status=TOO_LARGE)
    problem = {
        "type": request.build_absolute_uri("/api/problems/body_too_large"), "title": "Content Too Large",
        "status": TOO_LARGE, "detail": says, "instance": request.path, "code": "body_too_large",
        "request_id": request_id_of(request),
    }  # fmt: skip
    return JsonResponse(problem, status=TOO_LARGE, content_type="application/problem+json")


def _read_away(request: HttpRequest, length: int) -> None:
    left = min(length, READ_AWAY_AT_MOST)
    while left > 0 and (piece := request.read(min(PIECE, left))):
        left -= len(piece)
