"""What is printed: labels, each print kept as an act, and the page that lists every paper there is."""

from collections.abc import Sequence
from typing import Any

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import resolve
from django.utils.text import slugify
from django.utils.translation import gettext
from django.views.decorators.http import require_POST, require_safe

from hilum.plugins.host import the_host
from inventory.models import Container, Label, Operation, Place
from inventory.pages.acts import act
from inventory.pages.frame import station_here
from inventory.papers.label_rows import label_file
from inventory.papers.labels import labels_pdf
from inventory.queries.cards import wall_cards
from inventory.queries.envelopes import envelope_labels
from inventory.queries.finding_acts import find_act
from inventory.queries.label_texts import label_texts
from inventory.queries.labels import labels_of, names_of, without_label
from inventory.rules.mistakes import Mistake

# A PDF runs nothing of ours; a browser's own viewer needs leave to embed it and to style itself.
PDF_POLICY = "default-src 'none'; object-src 'self'; style-src 'unsafe-inline'; frame-ancestors 'none'"
MOST_LISTED = 500


@require_POST
def print_labels(request: HttpRequest) -> HttpResponse:
    """Keep a print of labels and open them; what stands in the way is said on the act's own page."""
    answer = act(request, "label")
    if answer.status_code != 302:
        return answer
    number = resolve(answer["Location"]).kwargs["number"]
    return redirect("labels", number=number, kind="pdf")


@require_safe
def labels(request: HttpRequest, number: int, kind: str) -> HttpResponse:
    """Give the labels of one act again: the same copies, so that loading the page anew prints nothing new."""
    station = station_here(request)
    try:
        operation = find_act(station, f"#{number}")
    except Mistake as mistake:
        raise Http404(mistake.says) from mistake
    rows = labels_of(operation.pk)
    drawn = label_texts(station, rows, address_of(request), request.user.get_username())
    if not drawn:
        raise Http404(gettext("No labels of the store were printed by this act."))
    name = label_name(operation, rows)
    if kind == "csv":
        return _file(label_file(drawn), f"{name}.csv")
    return pdf(labels_pdf(drawn, title=names_of(rows)), name)


@require_safe
def papers(request: HttpRequest) -> HttpResponse:
    """List everything that can be printed, and the lots whose label is still missing."""
    station = station_here(request)
    waiting = without_label(station)
    context: dict[str, Any] = {
        "waiting": waiting,
        "all_waiting": ", ".join(standing.lot.number for standing in waiting),
        "containers": _codes(Container.objects.filter(station=station).order_by("code")[:MOST_LISTED]),
        "more": [link for link in the_host().page_links(station.code) if link.verb == "label"],
        "places": _codes(Place.objects.filter(station=station).order_by("code")[:MOST_LISTED]),
    }
    return render(request, "inventory/papers.html", context)


@require_safe
def cards(request: HttpRequest) -> HttpResponse:  # noqa: ARG001 - every view takes its request
    """Give the cards for the wall."""
    return pdf(labels_pdf(wall_cards(), title=gettext("Cards for the wall")), "wall-cards")


@require_safe
def envelopes(request: HttpRequest, number: int) -> HttpResponse:
    """Give the labels of the envelopes of a sowing, all that were packed at once, in planting order."""
    station = station_here(request)
    try:
        drawn = envelope_labels(station, find_act(station, f"#{number}"))
    except Mistake as mistake:
        raise Http404(mistake.says) from mistake
    if not drawn:
        raise Http404(gettext("Nothing was sown by this act, so there are no envelopes."))
    return pdf(labels_pdf(drawn), f"envelopes-act-{number}")


@require_safe
def scanned(request: HttpRequest, digits: str) -> HttpResponse:  # noqa: ARG001 - every view takes its request
    """Open what a phone's camera read from a label."""
    return redirect(f"/find?q={digits}")


def pdf(content: bytes, name: str) -> HttpResponse:
    """Answer with a PDF that a browser shows in place, and saves under a good name."""
    answer = HttpResponse(content, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    answer["Content-Security-Policy"] = PDF_POLICY
    answer["Cache-Control"] = "no-store"
    return answer


def address_of(request: HttpRequest) -> str:
    """Give the address that printed codes begin with: the station's own where it is set, else the request's."""
    return str(settings.HILUM_ADDRESS) or request.build_absolute_uri("/").rstrip("/")


def label_name(operation: Operation, rows: Sequence[Label]) -> str:
    """Name a file of labels: "labels-24-0016-5-bag-of-23-act-118"."""
    first = slugify(rows[0].name.replace("/", "-bag-"))
    more = f"-and-{len(rows) - 1}-more" if len(rows) > 1 else ""
    return f"labels-{first}{more}-act-{operation.seq}"


def _file(content: str, name: str) -> HttpResponse:
    answer = HttpResponse(content, content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer


def _codes(rows: Any) -> list[str]:
    return [row.code for row in rows]
