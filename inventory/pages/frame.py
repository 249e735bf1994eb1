"""What every page carries: station and role of who is signed in, and whether this is a practice copy."""

from typing import Any

from django.contrib.auth.models import User
from django.http import Http404, HttpRequest

from inventory.models import DataMark, Preference, Station
from inventory.queries.signing_in import whereabouts
from inventory.queries.today import mark_of_data, moment_shown


def frame(request: HttpRequest) -> dict[str, Any]:
    """Give templates the banner, and to people signed in their station and role (2 queries at most)."""
    mark = mark_of_data()
    shown = {"banner": _banner(mark)}
    if not getattr(request, "user", None) or not request.user.is_authenticated:
        return shown
    station, role = whose(request)
    if station is None:
        return {**shown, "station": None, "role": role}
    return {**shown, "station": station, "role": role, "moment": moment_shown(mark, station)}


def whose(request: HttpRequest) -> tuple[Station | None, str]:
    """Give station and role of whoever is signed in (1 query a request)."""
    station, role, _kept = _whereabouts(request)
    return station, role


def preference_of(request: HttpRequest) -> Preference | None:
    """Give what whoever is signed in set of language and unit (1 query a request, the one that `whose` asks)."""
    return _whereabouts(request)[2]


def _whereabouts(request: HttpRequest) -> tuple[Station | None, str, Preference | None]:
    user = getattr(request, "user", None)
    if not isinstance(user, User):
        return None, "", None
    known: tuple[Station | None, str, Preference | None] | None = getattr(request, "_whereabouts", None)
    if known is None:
        known = whereabouts(user)
        request._whereabouts = known  # type: ignore[attr-defined]
    return known


def _banner(mark: DataMark | None) -> str:
    if mark is None:
        return ""
    return mark.banner or ("Practice copy: nothing here is real seed." if mark.is_demo else "")


def station_here(request: HttpRequest) -> Station:
    """Find the station whose books the person reads.

    Raises:
        Http404: no station is set up yet.
    """
    if not isinstance(request.user, User):
        raise TypeError("pages are for people signed in")
    station, _role = whose(request)
    if station is None:
        raise Http404("No station is set up yet. Run bin/demo for the demo season, or set one up in the admin pages.")
    return station
