"""What the bench prints: grade reports, and sample tags, each print kept as an act."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import resolve
from django.utils.text import slugify
from django.views.decorators.http import require_POST, require_safe

from grading.queries.report import report_paper
from grading.queries.tags import sample_tags
from inventory.pages.acts import act, person
from inventory.pages.frame import station_here
from inventory.pages.prints import address_of, label_name, pdf
from inventory.papers.labels import labels_pdf
from inventory.papers.paper import A4, SIZES, paper_pdf
from inventory.queries.finding_acts import find_act
from inventory.queries.labels import labels_of
from inventory.rules.mistakes import Mistake, Refused


@require_safe
def papers(request: HttpRequest) -> HttpResponse:
    """List what the bench prints."""
    return render(request, "grading/papers.html", {"sample": request.GET.get("sample", "")})


@require_safe
def report(request: HttpRequest) -> HttpResponse:
    """Give a sample's grade report, on A4 or Letter."""
    try:
        number, paper = report_paper(
            station_here(request), request.GET.get("sample", ""), address_of(request), person(request)
        )
    except Refused as refused:
        raise Http404(" ".join(mistake.says for mistake in refused.mistakes)) from refused
    return pdf(paper_pdf([paper], SIZES.get(request.GET.get("size", ""), A4)), slugify(f"grade-report-{number}"))


@require_POST
def print_tags(request: HttpRequest) -> HttpResponse:
    """Keep a print of sample tags and open them."""
    answer = act(request, "sample-tag")
    if answer.status_code != 302:
        return answer
    return redirect("sample-tags", number=resolve(answer["Location"]).kwargs["number"])


@require_safe
def tags(request: HttpRequest, number: int) -> HttpResponse:
    """Give the tags of one act again: the same copies."""
    station = station_here(request)
    try:
        operation = find_act(station, f"#{number}")
    except Mistake as mistake:
        raise Http404(mistake.says) from mistake
    rows = labels_of(operation.pk)
    drawn = sample_tags(station, rows)
    if not drawn:
        raise Http404("No sample tags were printed by this act.")
    return pdf(labels_pdf(drawn), label_name(operation, rows))
