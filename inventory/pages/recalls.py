"""The recall question on one page: what shares the seed of a thing, where it is, who got it, is all of it found?"""

from collections.abc import Iterator
from fractions import Fraction
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext, ngettext
from django.views.decorators.http import require_safe

from inventory.models import Station
from inventory.pages.acts import new_key
from inventory.pages.downloads import as_table
from inventory.pages.frame import station_here
from inventory.queries.drills import kept_drills
from inventory.queries.recalling import Recall, recall
from inventory.queries.showing import shown_mass, shown_number, shown_unit
from inventory.rules.mass import kg_text
from inventory.rules.mistakes import Mistake
from inventory.rules.rounding import half_up, half_up_int

MOST_KEPT = 20
_HEADS = ("what", "name", "kg", "share_of_it_pct", "day", "who_or_where")


@require_safe
def recalls(request: HttpRequest) -> HttpResponse:
    """Answer the recall question for `?lot=`, or any other thing; `?format=csv` gives the answer away."""
    station = station_here(request)
    typed = (request.GET.get("lot") or request.GET.get("ref") or "").strip()
    found, wrong = _answer(station, typed)
    if found and request.GET.get("format") == "csv":
        return as_table(f"recall-{found.ref}", _HEADS, _rows(found))
    context: dict[str, Any] = {"typed": typed, "wrong": wrong, "found": found, "key": new_key()}
    if found:
        context |= {"says": _says(found), "lots": _lots(found), "ended": _ended(found), "tested": _percent(found)}
    context["kept"] = kept_drills(station)[:MOST_KEPT]
    return render(request, "inventory/floor/recall.html", context, status=404 if wrong else 200)


def _answer(station: Station, typed: str) -> tuple[Recall | None, str]:
    if not typed:
        return None, ""
    try:
        return recall(station, typed), ""
    except Mistake as mistake:
        return None, mistake.says


def _says(found: Recall) -> str:
    """Say it in one breath: how much is in store, how much is gone to how many, how much is accounted for."""
    unit = shown_unit()
    shared = ngettext("%(n)d lot shares the seed of %(ref)s", "%(n)d lots share the seed of %(ref)s", len(found.lots))
    stands = gettext("%(mass)s %(unit)s are in store") % {"mass": shown_mass(found.in_store_mg), "unit": unit}
    people = len({one.who for one in found.shipments})
    words = ngettext(
        "%(mass)s %(unit)s have gone to %(n)d recipient", "%(mass)s %(unit)s have gone to %(n)d recipients", people
    )
    gone = words % {"mass": shown_mass(found.gone_mg), "unit": unit, "n": people}
    said = f"{shared % {'n': len(found.lots), 'ref': found.ref}}; {stands}; {gone}."
    percent = _percent(found)
    return f"{said} {gettext('%(p)s %% of its own seed is accounted for.') % {'p': percent}}" if percent else said


def _percent(found: Recall) -> str:
    share = found.accounted_share
    return "" if share is None else shown_number(half_up(share * 100, 2))


def _lots(found: Recall) -> list[tuple[Any, str]]:
    return [(lot, shown_number(half_up(lot.share * 100, 2))) for lot in found.lots]


def _ended(found: Recall) -> list[tuple[str, int]]:
    """What became of the thing's own seed, to the gram that a scale shows [mg]."""
    return [(account, half_up_int(mg / 1000) * 1000) for account, mg in found.ended.items()]


def _rows(found: Recall) -> Iterator[tuple[object, ...]]:
    for lot in found.lots:
        held = "on hold" if lot.is_held else ""
        yield "lot", lot.number, kg_text(lot.in_store_mg), half_up(lot.share * 100, 2), "", held
    for word, parts in (("bag", found.bags), ("plot sown", found.plots), ("shipment", found.shipments)):
        for part in parts:
            mass = kg_text(part.mg) if part.mg is not None else ""
            yield word, part.id, mass, "", part.day or "", part.who
    for account, mg in found.ended.items():
        yield "ended", account, kg_text(half_up_int(Fraction(mg))), "", "", ""
