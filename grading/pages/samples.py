"""Samples: the queue by age, and one sample with its grade, portions and working."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from django.contrib.auth.models import User
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from grading.models import Portion, Sample
from grading.pages.pan import sample_or_404
from grading.queries.bench_queue import last_graded, waiting_samples
from grading.queries.blind import due_samples, hidden_from
from grading.queries.filed import filed_of, register
from grading.queries.finding import standing_portions
from grading.queries.photos import photos_of
from grading.queries.verdicts import Verdict, base_words, verdict_of
from hilum.plugins import Panel
from inventory.drawing.post import posts
from inventory.models import Station
from inventory.pages.acts import new_key, person
from inventory.pages.downloads import as_table
from inventory.pages.frame import station_here
from inventory.pages.panels import picture_of, shown_panel
from inventory.pages.pictures import Picture, picture_answer
from inventory.queries.showing import shown_number
from inventory.queries.today import today_at
from inventory.rules.mistakes import Refused
from inventory.rules.rounding import half_up
from inventory.rules.working import Step


@require_safe
def samples(request: HttpRequest) -> HttpResponse:
    """List what waits at the bench, the longest wait first, and what was graded last."""
    station = station_here(request)
    hidden = hidden_from(station, person(request))
    graded = [row for row in last_graded(station) if row.sample_id not in hidden]
    context = {"waits": waiting_samples(station), "graded": graded, "due": len(due_samples(station)), "key": new_key()}
    return render(request, "grading/samples.html", {**context, "zone": ZoneInfo(station.zone)})


@require_safe
def sample(request: HttpRequest, number: str) -> HttpResponse:
    """Show one sample: what it reads as, how sure that is, what it stands on."""
    station = station_here(request)
    found = sample_or_404(station, number)
    if found.number != number:
        return redirect("sample", number=found.number)
    if request.GET.get("format") == "csv":
        return _table(station, found, person(request))
    hidden = found.pk in hidden_from(station, person(request))
    shown = _shown(request, station, found, hidden=hidden)
    if request.GET.get("format") == "svg" and "verdict" in shown:
        return picture_answer(request, _posts_picture(found, shown["verdict"]))
    context = {"sample": found, "zone": ZoneInfo(station.zone), "hidden": hidden, "filed": filed_of(station, found.pk)}
    context |= {"key": new_key(), "photos": [] if hidden else photos_of(station, found.pk)}
    return render(request, "grading/sample.html", {**context, **shown})


@require_safe
def file_samples(request: HttpRequest) -> HttpResponse:
    """List the kept samples with where they stand; what may be discarded stands first."""
    station = station_here(request)
    context = {"rows": register(station), "today": today_at(station), "zone": ZoneInfo(station.zone)}
    return render(request, "grading/file_samples.html", context)


def _shown(request: HttpRequest, station: Station, found: Sample, *, hidden: bool) -> dict[str, Any]:
    if hidden:
        return {}
    rows = standing_portions(station).filter(sample=found).order_by("-operation__seq")
    portions = [(row, _dishes(row)) for row in rows]
    if not portions:
        return {"portions": []}
    try:
        verdict = verdict_of(station, found, person(request))
    except Refused as refused:
        return {"portions": portions, "says": [mistake.says for mistake in refused.mistakes]}
    factors = [_factor(factor) for factor in verdict.answer["factors"]]
    steps = [Step(**step).says for step in verdict.answer["working"]]
    return {
        "portions": portions,
        "verdict": verdict,
        "posts": posts(verdict.judged),
        "factors": factors,
        "steps": steps,
    }


def _posts_picture(found: Sample, verdict: Verdict) -> Picture:
    return picture_of(found.number, shown_panel(Panel("Sample", (), says=verdict.says, posts=verdict.judged)))


def _table(station: Station, found: Sample, reader: User) -> HttpResponse:
    """Give the factors of a sample with exact numbers.

    Raises:
        Http404: it is not graded, or hidden from this person.
    """
    try:
        factors = verdict_of(station, found, reader).answer["factors"]
    except Refused as refused:
        raise Http404(" ".join(mistake.says for mistake in refused.mistakes)) from refused
    heads = ("sample", "factor", "percent", "of", "likely from", "likely to", "limits")
    rows = [
        (found.number, one["words"], one["read_pct"], base_words(one["basis"]), *(one["interval"] or ("", "")),
         "; ".join(f"{grade} {limit}" for grade, limit in one["limits"].items()))
        for one in factors
    ]  # fmt: skip
    return as_table(f"sample-{found.number}", heads, rows)


def _factor(factor: Mapping[str, Any]) -> dict[str, Any]:
    """Put what a per cent stands on, and its likely range, beside it."""
    low, high = (half_up(Decimal(end), 2) for end in factor["interval"]) if factor["interval"] else ("", "")
    return {**factor, "base": base_words(factor["basis"]), "low": low, "high": high}


def _dishes(row: Portion) -> str:
    """Write the weights of a portion's dishes, empty ones left out."""
    return ", ".join(f"{dish.replace('_', ' ')} {shown_number(g)}" for dish, g in row.weights_g.items() if Decimal(g))
