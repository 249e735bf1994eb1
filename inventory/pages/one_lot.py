"""The page of one lot, and its pictures as files."""

from collections.abc import Iterable
from typing import Any
from zoneinfo import ZoneInfo

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext, gettext_lazy
from django.views.decorators.http import require_safe

from hilum.plugins import Judged, Panel
from hilum.plugins.host import the_host
from inventory.drawing.ribbon import Part, Ribbon, ribbon
from inventory.models import Station, Stock
from inventory.pages.areas import request_role
from inventory.pages.frame import station_here
from inventory.pages.lots import MOST_TRACED, link_to, listed_trace, percent
from inventory.pages.panels import Shown, picture_of, shown_panel
from inventory.pages.pictures import Picture, picture_answer
from inventory.pages.plugin_pages import papers_of
from inventory.queries.breeding import heterozygosity_words
from inventory.queries.carry_over import CarriedOver, carried_by
from inventory.queries.finding import find_lot
from inventory.queries.lot_story import Happened, LotStory, lot_story
from inventory.queries.strip import mostly_from, straight_from, straight_sources
from inventory.queries.tracing import trace
from inventory.rules.fitness import together, uses_by_the_books
from inventory.rules.mass import kg_words
from inventory.rules.mistakes import Mistake
from inventory.rules.moisture import DRY_OR_COOL_OVER, storage_advice
from inventory.rules.roles import may

_FROM_RUNS = ("clean", "size", "sort")
# The acts of a lot's page: verb, who may (as roles.py calls it), the field that takes the lot, words.
_ACTS = (
    ("bench-sample", "sample", "lot", gettext_lazy("Sample")),
    ("move", "move", "lot", gettext_lazy("Move")),
    ("clean", "clean", "feed_lot", gettext_lazy("Clean")),
    ("blend", "blend", "parts", gettext_lazy("Blend")),
    ("bag", "bag", "lot", gettext_lazy("Bag off")),
    ("ship", "ship", "items.1.lot", gettext_lazy("Ship")),
    ("germination", "test", "lot", gettext_lazy("Test")),
    ("sow", "sow", "lot", gettext_lazy("Sow")),
    ("promise", "promise", "lot", gettext_lazy("Promise")),
    ("hold", "hold", "lots", gettext_lazy("Hold")),
)


@require_safe
def lot(request: HttpRequest, number: str) -> HttpResponse:
    """Show one lot."""
    station = station_here(request)
    story = _story_or_404(station, number)
    if story.lot.number != number:
        return redirect("lot", number=story.lot.number)
    return render(request, "inventory/lot.html", _context(request, station, story))


@require_safe
def lot_picture(request: HttpRequest, number: str, what: str) -> HttpResponse:
    """Show one picture of a lot's page by itself, or hand it over as a file."""
    station = station_here(request)
    story = _story_or_404(station, number)
    pictures = {shown.name: picture_of(number, shown) for shown in _shown(request, station, story)}
    pictures["kilos"] = _ribbon_picture(story)
    picture = pictures.get(what)
    if picture is None:
        raise Http404(gettext("%(lot)s has no such picture.") % {"lot": story.lot.number})
    return picture_answer(request, picture, back=reverse("lot", args=[story.lot.number]))


def _story_or_404(station: Station, number: str) -> LotStory:
    try:
        return lot_story(station, number)
    except Mistake as mistake:
        raise Http404(mistake.says) from mistake


def _context(request: HttpRequest, station: Station, story: LotStory) -> dict[str, Any]:
    number, panels = story.lot.number, _shown(request, station, story)
    return {
        "story": story,
        "number": number,
        "zone": ZoneInfo(station.zone),
        "uses": together([*_own_uses(story), *(use for shown in panels for use in shown.panel.uses)]),
        "advice": _advice(story),
        "carried": _carried(station, story, panels),
        "heterozygosity": heterozygosity_words(story.generation.heterozygosity),
        "ribbon": lot_ribbon(story),
        "where": _where(number, story.stock),
        "acts": lot_acts(story, request_role(request)),
        "happened": [(row, _kg_change(row)) for row in reversed(story.happened)],
        "newest": next((row.operation.seq for row in reversed(story.happened) if row.counts), None),
        "panels": panels,
        "papers": papers_of(station),
    }


def _carried(station: Station, story: LotStory, panels: Iterable[Shown]) -> CarriedOver | None:
    """The warning of a lot that came over an uncleaned line; asked for lots out of runs alone, which nobody graded."""
    made = story.standing.made_by if story.standing else None
    uses = [use for shown in panels for use in shown.panel.uses if use.use == "ship"]
    is_graded = any(use.answer != "no result" for use in uses)
    if not story.left or is_graded or made is None or made.kind not in _FROM_RUNS:
        return None
    return carried_by(station, story.lot)


def _shown(request: HttpRequest, station: Station, story: LotStory) -> list[Shown]:
    panels = the_host().lot_panels(story.lot.number, station.code, request.user.get_username())
    return [shown_panel(panel) for panel in (*panels, *_moisture(story))]


def _moisture(story: LotStory) -> list[Panel]:
    """The moisture on its post; nothing where nobody metered it."""
    if story.moisture is None:
        return []
    over = story.moisture - DRY_OR_COOL_OVER
    words = f"{over} over {DRY_OR_COOL_OVER}" if over > 0 else f"{-over} below {DRY_OR_COOL_OVER}"
    post = Judged(gettext("moisture"), story.moisture, DRY_OR_COOL_OVER, f"{story.moisture} %", words)
    return [Panel(gettext("Moisture"), (), says=gettext("Wet basis, as read last."), posts=(post,))]


def _own_uses(story: LotStory) -> Iterable[Any]:
    return uses_by_the_books(
        left=story.left, holds=[hold.reason for hold in story.holds],
        is_treated=bool(story.standing and story.standing.treated), moisture=story.moisture,
    )  # fmt: skip


def _advice(story: LotStory) -> str:
    """What the ticket says of a wet lot; nothing where no seed is left."""
    return str(storage_advice(story.moisture)) if story.moisture is not None and story.left else ""


def lot_acts(story: LotStory, role: str) -> list[tuple[str, str, bool]]:
    """List what can be done with a lot: words, address, whether this person may; what they may comes first."""
    if not story.left:
        return []
    number = story.lot.number
    acts = [
        (str(words), f"{reverse('act', args=[verb])}?{field}={number}", may(role, right))
        for verb, right, field, words in _ACTS
    ]
    if story.holds:
        acts.append((gettext("Lift the hold"), f"{reverse('act', args=['lift'])}?lot={number}", may(role, "lift")))
    return sorted(acts, key=lambda act: not act[2])


def lot_ribbon(story: LotStory) -> Ribbon:
    """Draw a lot: what went, in order; then what is left."""
    left = Part(story.left, "left", f"{kg_words(story.left)} left")
    return ribbon([*_parts(story), left], promised=min(story.promised, story.left))


def _parts(story: LotStory) -> list[Part]:
    return [_part(row) for row in story.happened if row.counts and row.change < 0]


def _part(row: Happened) -> Part:
    kind = "unaccounted" if row.where_to == "unaccounted" else "gone"
    to = f" → {row.where_to}" if row.where_to else ""
    link = reverse("lot", args=[row.made[0]]) if row.made else reverse("booked", args=[row.operation.seq])
    return Part(-row.change, kind, f"{row.operation.kind}{to} {kg_words(-row.change)}", link)


def _ribbon_picture(story: LotStory) -> Picture:
    drawn = lot_ribbon(story)
    parts = [*(band.part for band in drawn.bands), *drawn.beside]
    rows = [[part.words.rsplit(" ", 1)[0] if part.kind != "left" else "left", kg_words(part.mass)] for part in parts]
    made = story.standing.opening_mg if story.standing else 0
    return Picture(
        title=gettext("Kilos of %(lot)s") % {"lot": story.lot.number},
        says=gettext("%(made)s kg were made, %(left)s kg are left.")
        % {"made": kg_words(made), "left": kg_words(story.left)},
        marks="inventory/_ribbon.html",
        context={
            "ribbon": drawn,
            "held": bool(story.holds),
            "treated": bool(story.standing and story.standing.treated),
        },
        width=1000, height=48, heads=[gettext("What"), "kg"], rows=rows, lines=[part.words for part in parts],
    )  # fmt: skip


def _kg_change(row: Happened) -> str:
    if not row.change:
        return ""
    return f"{'+' if row.change > 0 else '−'}{kg_words(abs(row.change))}"


def _where(number: str, stock: Iterable[Stock]) -> list[dict[str, Any]]:
    return [
        {
            "place": row.place.code,
            "bag": row.bag_no,
            "mg": row.mg,
            "anchor": f"bag-{row.bag_no}",
            "trace": reverse("trace", args=[f"{number}/{row.bag_no}"]) if row.bag_no else "",
        }
        for row in stock
    ]


@require_safe
def lot_descent(request: HttpRequest, number: str) -> HttpResponse:
    """Give the piece of a lot's page that says where it came from and what was made of it; alone, the drawing."""
    station = station_here(request)
    if request.headers.get("HX-Request") != "true":
        return redirect("trace", number)
    try:
        found, _notes = find_lot(station, number)
    except Mistake as mistake:
        raise Http404(mistake.says) from mistake
    back = trace(station, found.number, most=MOST_TRACED)
    kinds = {node.id: link_to(node.kind, node.id) for node in back.nodes}
    context = {
        "number": found.number,
        "back": listed_trace(back),
        "parts": [(edge.source, kinds.get(edge.source, ""), percent(edge.share)) for edge in straight_sources(back)],
        "from": [(node.id, link_to(node.kind, node.id), node.kind) for node in mostly_from(back)],
        "to": [(one.id, link_to(one.kind, one.id), one.kind) for one in straight_from(found)],
    }
    return render(request, "inventory/_descent.html", context)
