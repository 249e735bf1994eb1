"""A stock count at one place: what the books say beside what is found, differences seen before they are booked."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods

from inventory.actions.counting import show_count
from inventory.importing.acts import act_of
from inventory.importing.words import fill
from inventory.models import Place, Station
from inventory.pages.acts import UNPROCESSABLE, do_act, new_key, worded
from inventory.pages.carrying import carried
from inventory.pages.forms import Form, form_of, words_of
from inventory.pages.frame import station_here
from inventory.pages.preferences import preferred_unit
from inventory.queries.count_sheet import CountRow, count_sheet
from inventory.queries.finding import find_place
from inventory.rules.counting import CountDiffers, Difference
from inventory.rules.mistakes import Mistake, Refused

MORE_ROWS = 3  # blank rows for what is found beside the books


@require_http_methods(["GET", "HEAD", "POST"])
def count(request: HttpRequest) -> HttpResponse:
    """Count a place; `?place=` opens its sheet. A count that differs is shown first and booked with a reason."""
    station = station_here(request)
    if request.method != "POST":
        typed = {"unit": preferred_unit(), **_text(request.GET), **carried(request)}
        return _sheet(request, station, typed)
    typed = _text(request.POST)
    words = _as_count(typed)
    try:
        booked = do_act(request, station, act_of("count"), words)
    except Refused as refused:
        wrong = [mistake for mistake in refused.mistakes if not isinstance(mistake, CountDiffers)]
        if wrong:
            return _sheet(request, station, typed, worded(station, wrong, typed))
        return _sheet(request, station, typed, differences=_differences(station, words))
    differs = any(operation.entries.exists() for operation in booked.operations)
    says = gettext("Counted, and the differences are booked.") if differs else gettext("Counted: as the books say.")
    messages.success(request, says)
    return redirect("booked", number=booked.operations[0].seq)


def _text(sent: Mapping[str, Any]) -> dict[str, str]:
    return {name: str(sent[name]) for name in sent if name != "csrfmiddlewaretoken"}


def _as_count(typed: Mapping[str, str]) -> dict[str, str]:
    """Turn the sheet into the act's words: rows with a mass, bags that are there, bags that were scanned."""
    words = {name: typed[name] for name in ("place", "unit", "is_all", "key", "reason") if typed.get(name)}
    words.update({name: value for name, value in typed.items() if name.startswith("answer.")})
    found = [row for number in _numbers(typed) if (row := _found(typed, f"row.{number}."))]
    weighed = {(row["lot"], row.get("bags", "")) for row in found}
    for scanned in typed.get("scanned", "").replace(";", ",").split(","):
        lot, _slash, bag = scanned.strip().partition("/")
        if lot and (lot, bag) not in weighed:
            found.append({"lot": lot, "bags": bag} if bag else {"lot": lot})
    for index, row in enumerate(found, start=1):
        words.update({f"found.{index}.{name}": value for name, value in row.items() if value})
    return words


def _found(typed: Mapping[str, str], head: str) -> dict[str, str]:
    """One row as found: with its mass, or a bag that is there; nothing for a row that was passed over."""
    lot, bag = typed.get(f"{head}lot", "").strip(), typed.get(f"{head}bag", "").strip()
    mass, is_there = typed.get(f"{head}mass", "").strip(), typed.get(f"{head}there") == "yes"
    if not lot or not (mass or (bag and is_there)):
        return {}
    return {"lot": lot, "bags": bag, "mass": mass}


def _numbers(typed: Mapping[str, str]) -> list[str]:
    numbers = {name.split(".")[1] for name in typed if name.startswith("row.") and name.count(".") == 2}
    return sorted((number for number in numbers if number.isdecimal()), key=int)


def _differences(station: Station, words: Mapping[str, str]) -> list[Difference]:
    found = act_of("count").words
    return show_count(fill(found, words_of(found, words)), station=station)


def _sheet(
    request: HttpRequest, station: Station, typed: Mapping[str, str], mistakes: Sequence[Mistake] = (),
    *, differences: Sequence[Difference] = (),
) -> HttpResponse:  # fmt: skip
    place, said = _place(station, typed.get("place", ""))
    form: Form = form_of(act_of("count").words, {}, [*mistakes, *said], key=typed.get("key") or new_key())
    context: dict[str, Any] = {
        "form": form,
        "place": place,
        "places": Place.objects.filter(station=station).order_by("code").values_list("code", flat=True)[:500],
        "typed": typed,
        "rows": _filled(count_sheet(place), typed) if place else [],
        "more": _more(typed),
        "differences": differences,
    }
    status = UNPROCESSABLE if mistakes or differences else 200
    return render(request, "inventory/floor/count.html", context, status=status)


def _place(station: Station, typed: str) -> tuple[Place | None, list[Mistake]]:
    if not typed.strip():
        return None, []
    try:
        return find_place(station, typed)[0], []
    except Mistake as mistake:
        return None, [mistake]


def _filled(rows: Sequence[CountRow], typed: Mapping[str, str]) -> list[dict[str, Any]]:
    return [
        {
            "number": number,
            "row": row,
            "mass": typed.get(f"row.{number}.mass", ""),
            "is_there": typed.get(f"row.{number}.there") == "yes",
        }
        for number, row in enumerate(rows, start=1)
    ]


def _more(typed: Mapping[str, str]) -> list[dict[str, Any]]:
    """Blank rows for what the books do not have here, numbered far behind those of the books."""
    return [
        {
            "number": number,
            **{name: typed.get(f"row.{number}.{name}", "") for name in ("lot", "bag", "mass")},
        }
        for number in range(100_001, 100_001 + MORE_ROWS)
    ]
