"""The list of lots in store, with questions that one press answers, and acts on many at once."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any
from urllib.parse import urlencode

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext
from django.views.decorators.http import require_safe

from hilum.plugins import LotQuestion
from hilum.plugins.host import the_host
from inventory.drawing.ribbon import Part, Ribbon, ribbon
from inventory.models import Station
from inventory.pages.downloads import as_table
from inventory.pages.frame import station_here
from inventory.pages.plugin_pages import failed
from inventory.queries.lot_list import After, Listed, Wanted, lot_list
from inventory.queries.lot_questions import lot_questions
from inventory.rules.mass import kg_words
from inventory.rules.mistakes import Mistake

MOST = 100
MOST_DOWNLOADED = 20_000
_KEPT = ("that", "line", "class", "place", "scale")
_MANY = {"hold": "hold", "label": "label"}  # what can be done with many: name of the button -> verb


@require_safe
def lots(request: HttpRequest) -> HttpResponse:
    """List lots with seed left; `?that=` names a question, `?line=&class=&place=` narrow it."""
    station, asked = station_here(request), {name: request.GET.get(name, "").strip() for name in _KEPT}
    question = next((one for one in lot_questions(station.code) if one.name == asked["that"]), None)
    person = request.user.get_username()
    try:
        why = question.answer(station.code, person) if question else {}
    except Exception as error:
        if settings.HILUM_PLUGINS_RAISE or question is None:
            raise
        return failed(request, question.words, error)
    is_file = request.GET.get("format") == "csv"
    try:
        rows, following = lot_list(
            station, _wanted(asked, question, why), after=_read_cursor(request.GET.get("after", "")),
            most=MOST_DOWNLOADED if is_file else MOST,
        )  # fmt: skip
    except Mistake as mistake:
        context = {"rows": [], "wrong": mistake.says, **_frame(station, asked, question, None)}
        return render(request, "inventory/lots.html", context)
    shown = shown_rows(station, rows, why, person=person, is_own_scale=asked["scale"] == "own")
    if is_file:
        return _file(shown)
    return render(request, "inventory/lots.html", {"rows": shown, **_frame(station, asked, question, following)})


@require_safe
def lots_act(request: HttpRequest) -> HttpResponse:
    """Lead from ticked lots to the page of the act that is done with them."""
    numbers, verb = request.GET.getlist("lot"), _MANY.get(request.GET.get("act", ""))
    if not numbers or verb is None:
        return redirect("lots")
    return redirect(f"{reverse('act', args=[verb])}?{urlencode({'lots': ', '.join(numbers)})}")


def shown_rows(
    station: Station, rows: Sequence[Listed], why: Mapping[str, str], *, person: str, is_own_scale: bool = False
) -> list[dict[str, Any]]:  # fmt: skip
    """Write rows of a list of lots with what plugins know of each, ribbons on one scale or each on its own."""
    numbers = [row.standing.lot.number for row in rows]
    facts = the_host().lot_facts(numbers, station.code, person) if rows else {}
    whole = 0 if is_own_scale else max((row.standing.opening_mg for row in rows), default=0)
    return [_row(row, facts.get(row.standing.lot.number, {}), why, whole) for row in rows]


def _row(row: Listed, facts: Mapping[str, str], why: Mapping[str, str], whole: int) -> dict[str, Any]:
    number = row.standing.lot.number
    return {
        "number": number,
        "line": row.standing.line.name if row.standing.line else gettext("blend"),
        "line_name": row.standing.line.name if row.standing.line else "",
        "market_class": row.standing.market_class.name if row.standing.market_class else "",
        "left": row.left,
        "promised": row.promised,
        "ribbon": _ribbon(row, whole),
        "treated": row.standing.treated,
        "hold": row.hold,
        "places": row.places,
        "grade": facts.get("last_grade", ""),
        "nearest": facts.get("nearest_limit", ""),
        "germination": facts.get("last_germination", ""),
        "tested_on": facts.get("last_germination_on", ""),
        "why": why.get(number, ""),
    }


def _ribbon(row: Listed, whole: int) -> Ribbon:
    gone = max(0, row.standing.opening_mg - row.left)
    parts = [Part(gone, "gone", f"{kg_words(gone)} gone"), Part(row.left, "left", f"{kg_words(row.left)} left")]
    return ribbon(parts, whole=whole, promised=min(row.promised, row.left))


def _wanted(asked: Mapping[str, str], question: LotQuestion | None, why: Mapping[str, str]) -> Wanted:
    numbers = list(why) if question else None
    return Wanted(line=asked["line"], market_class=asked["class"], place=asked["place"], numbers=numbers)


def _frame(
    station: Station, asked: Mapping[str, str], question: LotQuestion | None, following: After | None
) -> dict[str, Any]:  # fmt: skip
    """Give what stands around the rows: the questions, what is asked now, and the way to the next page."""
    questions = lot_questions(station.code)
    kept = {name: value for name, value in asked.items() if value}
    also = next((one for one in questions if question and one.name == question.also), None)
    more = f"?{urlencode({**kept, 'after': _cursor(following)})}" if following else ""
    other_scale = {**kept, "scale": ""} if asked["scale"] == "own" else {**kept, "scale": "own"}
    return {
        "asked": asked,
        "market_class": asked["class"],
        "question": question,
        "also": also,
        "questions": [
            (one.words, f"?{urlencode({**kept, 'that': one.name})}", one.name == asked["that"]) for one in questions
        ],
        "all_address": f"?{urlencode({name: value for name, value in kept.items() if name != 'that'})}",
        "csv": f"?{urlencode({**kept, 'format': 'csv'})}",
        "more": more,
        "other_scale": f"?{urlencode(other_scale)}",
        "is_narrowed": bool(asked["line"] or asked["class"] or asked["place"]),
        "is_own_scale": asked["scale"] == "own",
    }


def _cursor(after: After) -> str:
    return f"{after[0].isoformat()}_{after[1]}"


def _read_cursor(text: str) -> After | None:
    """Read a cursor; one that cannot be read begins at the newest."""
    moment, _bar, key = text.rpartition("_")
    try:
        read = datetime.fromisoformat(moment)
        return (read, int(key)) if read.tzinfo else None
    except ValueError:
        return None


def _file(rows: Sequence[Mapping[str, Any]]) -> HttpResponse:
    heads = ["lot", "line", "class", "kg", "promised kg", "place", "grade", "nearest limit", "germination", "tested",
             "hold", "why"]  # fmt: skip
    table = [
        [row["number"], row["line"], row["market_class"], kg_words(row["left"]).replace(",", ""),
         kg_words(row["promised"]).replace(",", ""), " ".join(row["places"]), row["grade"], row["nearest"],
         row["germination"], row["tested_on"], row["hold"], row["why"]]
        for row in rows
    ]  # fmt: skip
    return as_table("lots", heads, table)
