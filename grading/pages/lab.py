"""Tests: what is due, forms of the germination room and the instruments, and one lot's results as pictures."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext, gettext_lazy
from django.views.decorators.http import require_http_methods, require_safe

from grading.pages.lab_results import csv_of, picture_of, results_of
from grading.queries.germination import germination_watch
from grading.queries.lab import newest_tests, open_trays
from inventory.importing.acts import act_of
from inventory.models import Lot
from inventory.pages.acts import do_act, new_key, worded
from inventory.pages.carrying import carried
from inventory.pages.downloads import as_table
from inventory.pages.forms import Form, FormField, form_of, form_with, taken
from inventory.pages.frame import station_here
from inventory.pages.pictures import picture_answer
from inventory.queries.booked import booked_facts
from inventory.queries.finding import find_lot
from inventory.queries.today import today_at
from inventory.rules.mistakes import Mistake, Refused

UNPROCESSABLE = 422
REPLICATES = 4


@dataclass(frozen=True)
class Lab:
    """A form of the bench.

    Attributes:
        verb: the act it books.
        title: its heading.
        rows: (legend, field, how many): numbered fields that stand in one row; empty where the act's own form serves.
        plain: fields beside them.
    """

    verb: str
    title: Any
    rows: tuple[tuple[Any, str, int], ...] = ()
    plain: tuple[str, ...] = ()


LABS = {
    "germination": Lab(
        "germination",
        gettext_lazy("Count a germination test"),
        (
            (gettext_lazy("Normal seedlings, of 100 seeds each"), "replicates", REPLICATES),
            (gettext_lazy("Abnormal"), "abnormal", REPLICATES),
            (gettext_lazy("Hard"), "hard", REPLICATES),
            (gettext_lazy("Fresh, not germinated"), "fresh", REPLICATES),
            (gettext_lazy("Dead"), "dead", REPLICATES),
        ),
        ("lot", "mass", "unit", "place", "bags", "number", "at"),
    ),
    "seed-weight": Lab(
        "seed weight",
        gettext_lazy("Weigh 100 seeds four times"),
        ((gettext_lazy("Grams of 100 seeds"), "readings", 4),),
        ("lot", "at"),
    ),
    "sizes": Lab("size curve", gettext_lazy("Enter what stayed on the screens")),
    "colour": Lab("colour", gettext_lazy("Enter a colour")),
    "moisture": Lab("moisture", gettext_lazy("Enter a moisture")),
}


@require_safe
def tests(request: HttpRequest) -> HttpResponse:
    """List trays to be counted, and what else the bench's instruments are for."""
    station = station_here(request)
    today = today_at(station)
    watch = germination_watch(station, today)
    typed, says = request.GET.get("lot", "").strip(), ""
    if typed:
        try:
            return redirect("lab-results", number=find_lot(station, typed)[0].number)
        except Mistake as mistake:
            says = mistake.says
    context = {
        "trays": open_trays(station, today),
        "repeat": watch.repeat,
        "newest": newest_tests(station),
        "labs": LABS.items(),
        "typed": typed,
        "says": says,
    }
    return render(request, "grading/tests.html", context, status=404 if says else 200)


@require_http_methods(["GET", "HEAD", "POST"])
def enter(request: HttpRequest, kind: str) -> HttpResponse:
    """Show one of the bench's forms, or book it and show the lot's results."""
    if kind not in LABS:
        raise Http404(gettext("There are forms for %(kinds)s.") % {"kinds": ", ".join(LABS)})
    lab, station = LABS[kind], station_here(request)
    if request.method != "POST":
        typed = carried(request) or {name: str(value) for name, value in request.GET.items()}
        return _page(request, kind, _form(lab, typed, [], new_key()))
    typed = taken({name: str(request.POST[name]) for name in request.POST if name != "csrfmiddlewaretoken"})
    if "more" in typed:
        return _page(
            request, kind, form_of(act_of(lab.verb).words, typed, key=typed.get("key", ""), more=typed["more"])
        )
    try:
        booked = do_act(request, station, act_of(lab.verb), typed)
    except Refused as refused:
        mistakes = worded(station, refused.mistakes, typed)
        return _page(request, kind, _form(lab, typed, mistakes, typed.get("key", "")), status=UNPROCESSABLE)
    messages.success(request, gettext("Saved."))
    for note in booked_facts(booked.operations)["notes"]:
        messages.info(request, note)
    return redirect("lab-results", number=find_lot(station, typed.get("lot", ""))[0].number)


@require_safe
def results(request: HttpRequest, number: str) -> HttpResponse:
    """Show what was measured of a lot, each as a sentence, a picture and a table."""
    station = station_here(request)
    try:
        lot, _notes = find_lot(station, number)
    except Mistake as mistake:
        raise Http404(mistake.says) from mistake
    if lot.number != number:
        return redirect("lab-results", number=lot.number)
    found = Lot.objects.select_related("station", "standing__line", "standing__market_class").get(pk=lot.pk)
    shown = results_of(station, found)
    picture, form = request.GET.get("picture", ""), request.GET.get("format", "")
    if form == "csv" and (table := csv_of(shown, picture)):
        return as_table(f"{picture}-{number}", *table)
    if form == "svg" and (one := picture_of(found, shown, picture, request.GET.get("test", ""))):
        return picture_answer(request, one)
    return render(request, "grading/results.html", {"lot": found, "zone": ZoneInfo(station.zone), **shown})


def _page(request: HttpRequest, kind: str, form: Form, *, status: int = 200) -> HttpResponse:
    lab = LABS[kind]
    rows = [
        (legend, [form.field(f"{name}.{place}") for place in range(1, count + 1)]) for legend, name, count in lab.rows
    ]
    context = {"kind": kind, "lab": lab, "form": form, "rows": rows}
    return render(request, "grading/enter.html", context, status=status)


def _form(lab: Lab, typed: Mapping[str, str], mistakes: list[Mistake], key: str) -> Form:
    if not lab.rows:
        return form_of(act_of(lab.verb).words, typed, mistakes, key=key)
    for mistake in mistakes:
        _place(lab, mistake)
    names = [*lab.plain, *(f"{name}.{place}" for _legend, name, count in lab.rows for place in range(1, count + 1))]
    own = form_of(act_of(lab.verb).words, typed)
    fields = tuple(_field(own, name, typed) for name in names)
    return form_with(fields, typed, mistakes, key=key)


def _field(own: Form, name: str, typed: Mapping[str, str]) -> FormField:
    """Take a field of the act's own form, or make a numbered one."""
    head, dot, place = name.partition(".")
    return FormField(name, place, "", value=typed.get(name, "")) if dot else own.field(head)


def _place(lab: Lab, mistake: Mistake) -> None:
    """Bring what is said of a whole row, or of "reading_2", to a field that stands on the page."""
    for _legend, name, _count in lab.rows:
        single = f"{name.removesuffix('s')}_"
        if mistake.field == name:
            mistake.field = f"{name}.1"
        elif mistake.field.startswith(single):
            mistake.field = f"{name}.{mistake.field.removeprefix(single)}"
