"""What leaves: the list of shipments, one of them, and a load that is scanned bag by bag."""

from collections.abc import Mapping
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_safe

from inventory.importing.acts import act_of
from inventory.models import Station
from inventory.pages.acts import UNPROCESSABLE, do_act, new_key, worded
from inventory.pages.carrying import carried
from inventory.pages.downloads import as_table
from inventory.pages.forms import form_of, taken
from inventory.pages.frame import station_here
from inventory.pages.preferences import preferred_unit
from inventory.queries.shipping import load_ahead, next_code, shipment_story, shipments
from inventory.rules.mass import kg_text
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.scanned import bags_by_lot
from inventory.rules.shipping import PURPOSES

MOST_LISTED = 200
LOOSE_ROWS = 3  # rows for loose seed; a load of more is booked by the act's own page


@require_safe
def list_of(request: HttpRequest) -> HttpResponse:
    """List what left, the newest first; `?format=csv` gives it away."""
    left = shipments(station_here(request), MOST_LISTED)
    if request.GET.get("format") == "csv":
        heads = ("shipment", "day", "recipient", "purpose", "kg", "kg_back")
        rows = ((s.code, s.day, s.recipient, s.purpose, kg_text(s.gone_mg), kg_text(s.back_mg)) for s in left)
        return as_table("shipments", heads, rows)
    return render(request, "inventory/floor/shipments.html", {"left": left, "most": MOST_LISTED})


def shipment(request: HttpRequest, code: str) -> HttpResponse:
    """Show one shipment: what left, what was left behind, what came back, what was said of it."""
    story = shipment_story(station_here(request), code)
    if story is None:
        raise Http404(gettext("No shipment %(code)s is in the books.") % {"code": code})
    return render(request, "inventory/floor/shipment.html", {"story": story, "name": story.left.code})


@require_http_methods(["GET", "HEAD", "POST"])
def load(request: HttpRequest) -> HttpResponse:
    """Load a shipment by scanning its bags; what stands in the way brings the page back as it was."""
    station = station_here(request)
    if request.method != "POST":
        first = {"unit": preferred_unit(), "code": next_code(station), "purpose": "seed"}
        return _page(request, station, {**first, **_text(request.GET), **carried(request)})
    typed = taken(_text(request.POST))
    words = _as_shipping(typed)
    try:
        booked = do_act(request, station, act_of("ship"), words)
    except Refused as refused:
        return _page(request, station, typed, worded(station, refused.mistakes, typed))
    return redirect("booked", number=booked.operations[0].seq)


@require_safe
def load_look(request: HttpRequest) -> HttpResponse:
    """Give the piece of the page that says what is loaded so far."""
    return render(request, "inventory/floor/_load.html", _beside(station_here(request), _text(request.GET)))


def _text(sent: Mapping[str, Any]) -> dict[str, str]:
    return {name: str(sent[name]) for name in sent if name != "csrfmiddlewaretoken"}


def _as_shipping(typed: Mapping[str, str]) -> dict[str, str]:
    """Turn the page into the act's words: scanned bags by their lots, then loose seed by its mass."""
    names = ("code", "recipient", "purpose", "unit", "at", "key", "reason")
    words = {name: typed[name] for name in names if typed.get(name)}
    words.update({name: value for name, value in typed.items() if name.startswith("answer.")})
    for index, item in enumerate(_items(typed), start=1):
        words.update({f"items.{index}.{name}": value for name, value in item.items() if value})
    return words


def _items(typed: Mapping[str, str]) -> list[dict[str, str]]:
    scanned = bags_by_lot(typed.get("scanned", ""))
    items = [{"lot": lot, "bags": ", ".join(dict.fromkeys(bags))} for lot, bags in scanned.items()]
    for row in range(1, LOOSE_ROWS + 1):
        loose = {name: typed.get(f"loose.{row}.{name}", "").strip() for name in ("lot", "mass", "place")}
        if loose["lot"]:
            items.append(loose)
    return items


def _beside(station: Station, typed: Mapping[str, str]) -> dict[str, Any]:
    scanned = bags_by_lot(typed.get("scanned", ""))
    items = [{"lot": lot, "bags": ", ".join(bags)} for lot, bags in scanned.items()]
    loads, says = load_ahead(station, [*items, *(item for item in _items(typed) if item.get("mass"))])
    context = {"loads": loads, "says": says, "recipient": typed.get("recipient", "").strip()}
    return {**context, "total": sum(one.mg for one in loads), "bags": sum(len(set(one.bags)) for one in loads)}


def _page(
    request: HttpRequest, station: Station, typed: Mapping[str, str], mistakes: list[Mistake] | None = None
) -> HttpResponse:
    form = form_of(act_of("ship").words, _as_shipping(typed), mistakes or [], key=typed.get("key") or new_key())
    loose = [
        {"number": row, **{name: typed.get(f"loose.{row}.{name}", "") for name in ("lot", "mass", "place")}}
        for row in range(1, LOOSE_ROWS + 1)
    ]
    context: dict[str, Any] = {"form": form, "typed": typed, "loose": loose, "purposes": PURPOSES}
    context |= _beside(station, typed)
    return render(request, "inventory/floor/load.html", context, status=UNPROCESSABLE if mistakes else 200)
