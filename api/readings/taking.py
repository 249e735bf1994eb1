"""The button "Take the newest reading" on pages that ask for a mass: it fills the field and books nothing."""

from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cached_property
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.formats import date_format
from django.utils.timezone import localtime
from django.utils.translation import gettext
from django.views.decorators.http import require_POST

from api.readings.looking import mass_sent, scales_of
from inventory.importing.acts import act_of
from inventory.models import Station
from inventory.pages.carrying import carry
from inventory.pages.frame import station_here, whose
from inventory.rules.mistakes import Mistake, Refused

_SAYS = "taken_from_scale"


@dataclass
class Scales:
    """What pages ask of the scales; nothing is read before a page asks."""

    request: HttpRequest

    @cached_property
    def are_here(self) -> bool:
        """There is a scale whose readings can be taken (1 query)."""
        station, _role = whose(self.request)
        return station is not None and bool(scales_of(station))

    @cached_property
    def says(self) -> dict[str, str] | None:
        """What came of pressing the button; it is said once."""
        said: dict[str, str] | None = self.request.session.pop(_SAYS, None)
        return said


def scales(request: HttpRequest) -> dict[str, Any]:
    """Give templates the scales."""
    return {"scales": Scales(request)}


@require_POST
def take_reading(request: HttpRequest, verb: str, field: str) -> HttpResponse:
    """Fill a field of an act's form with the mass that a scale sent last, and open the form again as it was typed."""
    _must_have(verb, field)
    typed = {name: str(request.POST[name]) for name in request.POST if name != "csrfmiddlewaretoken"}
    try:
        typed[field], says = _newest(station_here(request), field)
        request.session[_SAYS] = {"taken": says}
    except Mistake as mistake:
        request.session[_SAYS] = {"why": mistake.says}
    where = reverse("act", args=[verb])
    carry(request, where, typed)
    return redirect(f"{where}?from=outside" if request.GET.get("from") == "outside" else where)


def _newest(station: Station, field: str) -> tuple[str, str]:
    sent = mass_sent(station, scales_of(station), field, datetime.now(UTC))
    at = date_format(localtime(sent.taken_at), "H:i:s")
    return sent.text, gettext("%(text)s, sent by %(device)s at %(at)s.") % {
        "text": sent.text, "device": sent.device, "at": at
    }  # fmt: skip


def _must_have(verb: str, field: str) -> None:
    try:
        words = act_of(verb).words
    except Refused as refused:
        raise Http404(" ".join(mistake.says for mistake in refused.mistakes)) from refused
    if field not in words.__dataclass_fields__:
        raise Http404(gettext("This form has no such field."))
