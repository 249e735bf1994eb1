"""The pan: a letter for a dish, then its weight; closed when dishes and sound make the portion again."""

from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from grading.actions.portions import document_of
from grading.importing.acts import Graded, worked_of
from grading.models import Sample
from grading.pages.pan_form import pan_form, typed_again, typed_portion
from grading.queries.bench_queue import waiting_samples
from grading.queries.blind import hidden_from
from grading.queries.finding import find_sample, standing_portions
from grading.queries.pan import Pan, SoFar, manner_at_bench, pan_of, so_far
from inventory.importing.acts import act_of
from inventory.importing.words import fill
from inventory.models import Station
from inventory.pages.acts import do_act, new_key, person, worded
from inventory.pages.carrying import carried
from inventory.pages.forms import taken, words_of
from inventory.pages.frame import station_here
from inventory.rules.mistakes import Mistake, Refused

UNPROCESSABLE = 422


@require_safe
def pan_door(request: HttpRequest) -> HttpResponse:
    """Ask for a sample's tag, and list those that wait."""
    station, tag = station_here(request), request.GET.get("sample", "").strip()
    says = ""
    if tag:
        try:
            return redirect("pan-of", number=find_sample(station, tag)[0].number)
        except Mistake as mistake:
            says = mistake.says
    context = {"waits": waiting_samples(station), "tag": tag, "says": says}
    return render(request, "grading/pan_door.html", context, status=404 if says else 200)


@require_http_methods(["GET", "HEAD", "POST"])
def pan(request: HttpRequest, number: str) -> HttpResponse:
    """Show a sample's pan, add it up, or close it; what stands in the way brings all back as it was typed."""
    station = station_here(request)
    found = sample_or_404(station, number)
    if request.method != "POST":
        if found.number != number:
            return redirect("pan-of", number=found.number)
        return _page(request, station, found, carried(request) or _first(request, station, found))
    typed = taken({name: str(request.POST[name]) for name in request.POST if name != "csrfmiddlewaretoken"})
    if "check" in typed:
        return _page(request, station, found, typed, adds_up=True)
    verb = "correct grade" if typed.get("corrects") else "grade"
    try:
        do_act(request, station, act_of(verb), {**typed_portion(typed), "sample": found.number})
    except Refused as refused:
        mistakes = worded(station, refused.mistakes, typed)
        return _page(request, station, found, typed, mistakes, status=UNPROCESSABLE)
    messages.success(request, gettext("%(sample)s is closed.") % {"sample": found.number})
    return redirect("sample", number=found.number)


@require_POST
def look(request: HttpRequest, number: str) -> HttpResponse:
    """Give the piece that says how the pan reads so far, for those who switched it on."""
    station = station_here(request)
    typed = {name: str(request.POST[name]) for name in request.POST}
    manner = manner_at_bench(person(request))
    opened = _opened(station, sample_or_404(station, number), typed, manner)
    context = {"pan": opened, "so_far": _read(opened, typed, advises=manner.advises), "manner": manner}
    return render(request, "grading/_so_far.html", context)


def sample_or_404(station: Station, number: str) -> Sample:
    """Find a sample by its tag.

    Raises:
        Http404: there is none of this number.
    """
    try:
        return find_sample(station, number)[0]
    except Mistake as mistake:
        raise Http404(mistake.says) from mistake


def _first(request: HttpRequest, station: Station, found: Sample) -> dict[str, str]:
    """Fill a fresh pan: empty, or with a portion that is to be put right."""
    corrects = request.GET.get("corrects", "").lstrip("#")
    if found.pk in hidden_from(station, person(request)):
        return {}
    if corrects.isascii() and corrects.isdecimal() and len(corrects) < 10:
        row = standing_portions(station).filter(sample=found, operation__seq=int(corrects)).first()
        return typed_again(row) if row else {}
    return {name: str(request.GET[name]) for name in ("class_name", "rule_set") if name in request.GET}


def _page(
    request: HttpRequest, station: Station, found: Sample, typed: Mapping[str, str],
    mistakes: list[Mistake] | None = None, *, status: int = 200, adds_up: bool = False,
) -> HttpResponse:  # fmt: skip
    manner = manner_at_bench(person(request))
    opened = _opened(station, found, typed, manner)
    form = pan_form(opened, typed, mistakes or [], key=typed.get("key") or new_key())
    shown = adds_up or bool(mistakes) or manner.shows_grade or manner.advises
    read = _read(opened, typed, advises=manner.advises) if shown and typed.get("portion_g") else SoFar(None)
    context = {"pan": opened, "form": form, "manner": manner, "so_far": read, "typed": typed, "sample": found}
    return render(request, "grading/pan.html", context, status=status)


def _opened(station: Station, found: Sample, typed: Mapping[str, str], manner: Any) -> Pan:
    return pan_of(station, found, manner, typed.get("class_name", ""), typed.get("rule_set", ""))


def _read(opened: Pan, typed: Mapping[str, str], *, advises: bool) -> SoFar:
    """Add a half-picked pan up; what cannot be read yet is no fault here."""
    try:
        words = fill(Graded, words_of(Graded, typed_portion(typed)))
    except Refused:
        return SoFar(None)
    document = document_of(worked_of(words), opened.class_name)
    return so_far(opened, document, picked=typed.get("picked", ""), advises=advises)
