"""A grader's own tray: the order of the dishes, a letter for each, and what the bench shows and sounds."""

from collections.abc import Mapping

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods

from grading.actions.manner import SWITCHES, keep_manner
from grading.models import BenchManner
from grading.queries.editions import rules_of
from grading.queries.pan import manner_at_bench
from grading.rules.fit import dishes_of
from grading.rules.tray import letters_of
from inventory.models import Station
from inventory.pages.acts import person
from inventory.pages.frame import station_here
from inventory.rules.mistakes import Refused

UNPROCESSABLE = 422


@require_http_methods(["GET", "HEAD", "POST"])
def tray(request: HttpRequest) -> HttpResponse:
    """Show a person's tray, or keep it."""
    manner, words = manner_at_bench(person(request)), dishes_in_use(station_here(request))
    if request.method != "POST":
        return render(request, "grading/tray.html", {"dishes": _rows(manner, words), "manner": manner})
    typed = {name: str(request.POST[name]) for name in request.POST}
    order = sorted(words, key=lambda name: (_place(typed.get(f"place.{name}", "")), list(words).index(name)))
    letters = {name: typed.get(f"letter.{name}", "") for name in words}
    switches = {name: typed.get(name) == "yes" for name in SWITCHES}
    try:
        keep_manner(by=person(request), words=words, order=order, letters=letters, switches=switches)
    except Refused as refused:
        shown = BenchManner(user=person(request), order=order, letters=letters, **switches)
        rows = [(name, said, place, letters[name]) for name, said, place, _letter in _rows(shown, words)]
        errors = [mistake.says for mistake in refused.mistakes]
        return render(
            request, "grading/tray.html", {"dishes": rows, "manner": shown, "errors": errors}, status=UNPROCESSABLE
        )
    messages.success(request, gettext("Your tray is laid out so from now on."))
    return redirect("tray")


def dishes_in_use(station: Station) -> dict[str, str]:
    """Name the dishes of the station's own rule sets, or of all where it has none: name -> words (2 queries)."""
    known = [each for each in rules_of(station) if each.is_verified]
    own = [each for each in known if each.id.casefold().startswith(f"{station.code}-".casefold())]
    return {name: each.factors[name].words for each in (own or known) for name in dishes_of(each)}


def _rows(manner: BenchManner, words: Mapping[str, str]) -> list[tuple[str, str, int, str]]:
    order = list(manner.order)
    names = sorted(words, key=lambda name: order.index(name) if name in order else len(order))
    letters = letters_of({name: words[name] for name in names}, manner.letters)
    return [(name, words[name], place, letters[name]) for place, name in enumerate(names, 1)]


def _place(typed: str) -> int:
    """Read a place in the tray; what is none goes to its end."""
    return int(typed) if typed.isascii() and typed.isdecimal() and len(typed) < 4 else 999
