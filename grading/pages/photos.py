"""Photographs of the pan: sent from a telephone, decoded, kept small at their sample."""

from base64 import b64encode

from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_POST, require_safe

from grading.actions.picturing import Pictured, attach_photo
from grading.importing.photos import NoPhoto, SmallPhoto, small_photo
from grading.pages.pan import sample_or_404
from grading.queries.photos import photo_bytes
from inventory.pages.acts import new_key, person, worded
from inventory.pages.frame import station_here
from inventory.queries.today import now_at
from inventory.rules.mistakes import Refused

UNPROCESSABLE = 422
A_YEAR = 365 * 24 * 3600


@require_POST
def attach(request: HttpRequest, number: str) -> HttpResponse:
    """Attach a photograph to a sample; what is none is refused with a sentence."""
    station = station_here(request)
    found, key = sample_or_404(station, number), str(request.POST.get("key", ""))
    try:
        small = _small(request)
        pictured = Pictured(
            sample=found.number, content=b64encode(small.content).decode(), width=small.width, height=small.height,
            file_name=small.file_name,
        )  # fmt: skip
        attach_photo(pictured, station=station, by=person(request), key=key, now=now_at(station))
    except Refused as refused:
        says = [mistake.says for mistake in worded(station, refused.mistakes, {"key": key})]
        context = {"sample": found, "wrong": says, "key": new_key(), "photos": []}
        return render(request, "grading/photo_refused.html", context, status=UNPROCESSABLE)
    messages.success(request, gettext("The photograph is kept."))
    return redirect("sample", number=found.number)


@require_safe
def photo(request: HttpRequest, mark: str) -> HttpResponse:
    """Give a photograph by its hash; it never changes, so a browser may keep it."""
    content = photo_bytes(station_here(request), mark)
    if content is None:
        raise Http404(gettext("There is no such photograph."))
    return HttpResponse(content, content_type="image/jpeg", headers={"Cache-Control": f"private, max-age={A_YEAR}"})


def _small(request: HttpRequest) -> SmallPhoto:
    sent = request.FILES.get("photo")
    if not isinstance(sent, UploadedFile) or sent.file is None:
        raise Refused([NoPhoto()])
    return small_photo(sent.file, sent.name or "", sent.size or 0)
