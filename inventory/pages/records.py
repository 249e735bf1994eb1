"""The data manager's desk: what to look at, the proof of the books, the backup, and the way to all that is set up."""

import tempfile
from datetime import UTC, datetime
from pathlib import Path

from django.contrib import messages
from django.http import FileResponse, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from hilum.plugins.host import the_host
from inventory.actions.acting import require
from inventory.pages.acts import person
from inventory.pages.areas import request_role
from inventory.pages.frame import station_here
from inventory.queries.backing_up import back_up
from inventory.queries.look_at import PARTS, what_to_look_at
from inventory.queries.proofs import MOST_ACTS, acts_to_read, last_proof, prove
from inventory.rules.mistakes import Refused
from inventory.rules.roles import may

MOST_OF_A_GROUP = 12


@require_safe
def desk(request: HttpRequest) -> HttpResponse:
    """List the pages of the records desk."""
    theirs = [
        link for link in the_host().page_links(station_here(request).code) if link.address.startswith("/records/")
    ]
    context = {"may": may(request_role(request), "people"), "pages": theirs}
    return render(request, "inventory/records.html", context)


@require_safe
def look(request: HttpRequest) -> HttpResponse:
    """Show what looks wrong or is missing, each with its fix; one group whole where it is asked for.

    What was measured takes longer than the page: it is loaded after it, by `?part=measured`, or by `?part=all` alone.
    """
    only, part = request.GET.get("group", ""), request.GET.get("part", "")
    parts = PARTS if only or part == "all" else (part,) if part in PARTS else PARTS[:1]
    groups = what_to_look_at(station_here(request), person(request).get_username(), parts)
    chosen = [group for group in groups if group.name == only]
    context = {"groups": chosen or groups, "only": only if chosen else "", "most": MOST_OF_A_GROUP, "parts": parts}
    is_piece = request.headers.get("HX-Request") == "true" and part == "measured"
    return render(request, "inventory/_look_groups.html" if is_piece else "inventory/look.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def verify(request: HttpRequest) -> HttpResponse:
    """Show what the last proof of the books found; prove them anew when asked."""
    station = station_here(request)
    acts = acts_to_read(station)
    if request.method == "POST" and acts <= MOST_ACTS:
        prove(station, person(request).get_username(), datetime.now(UTC))
        return redirect("verify")
    proof = last_proof(station)
    newer = acts - proof.operations if proof else 0
    context = {"proof": proof, "acts": acts, "newer": max(0, newer), "is_long": acts > MOST_ACTS}
    return render(request, "inventory/verify.html", {**context, "may": may(request_role(request), "people")})


@require_POST
def backup(request: HttpRequest) -> HttpResponseBase:
    """Give the whole data set in one file; it holds the accounts too, so only whoever gives roles may have it."""
    station = station_here(request)
    try:
        require(person(request), "people", station)
    except Refused as refused:
        messages.error(request, " ".join(mistake.says for mistake in refused.mistakes))
        return redirect("verify")
    if acts_to_read(station) > MOST_ACTS:
        messages.error(request, gettext("These books are too long for a browser to wait for: use manage.py backup."))
        return redirect("verify")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "backup.zip"
        back_up(path)
        file = path.open("rb")  # stays readable after its name is gone
    name = f"hilum-{station.code}-{datetime.now(UTC):%Y-%m-%d}.zip"
    return FileResponse(file, as_attachment=True, filename=name)
