"""One line: its seed now, its cross and sisters, its seasons drawn; and the list of all lines."""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext, ngettext
from django.views.decorators.http import require_safe

from inventory.drawing.ribbon import Part, Ribbon, ribbon
from inventory.drawing.season import WIDTH, Standing, draw_years
from inventory.pages.frame import station_here
from inventory.pages.lots import link_to
from inventory.pages.pictures import Picture, picture_answer
from inventory.queries.breeding import heterozygosity_words
from inventory.queries.generations import BookRow, generation_book
from inventory.queries.line_story import LineLot, LineStory, line_story, lines_in_store
from inventory.queries.season import Row, Season, season_of
from inventory.rules.mass import kg_words
from inventory.rules.mistakes import Mistake


@require_safe
def lines(request: HttpRequest) -> HttpResponse:
    """List every line with what is left of it."""
    return render(request, "inventory/line_list.html", {"lines": lines_in_store(station_here(request))})


@require_safe
def line_page(request: HttpRequest, name: str) -> HttpResponse:
    """Show one line."""
    try:
        story = line_story(station_here(request), name, request.user.get_username())
    except Mistake as mistake:
        raise Http404(mistake.says) from mistake
    if story.line.name != name:
        return redirect("line-page", name=story.line.name)
    whole = max((lot.opening for lot in story.lots), default=0)
    context: dict[str, Any] = {
        "story": story,
        "name": story.line.name,
        "lots": [(lot, _ribbon(lot, whole)) for lot in story.lots],
        "with_seed": [sister for sister in story.sisters if sister.mg],
        "parents": _parents(story),
    }
    return render(request, "inventory/line.html", context)


@require_safe
def season(request: HttpRequest, ref: str) -> HttpResponse:
    """Draw the seasons of a line or a lot."""
    try:
        found = season_of(station_here(request), ref)
    except Mistake as mistake:
        raise Http404(mistake.says) from mistake
    picture = _picture(found, _book(found))
    return picture_answer(request, picture, back=link_to(found.kind, found.ref), page="inventory/season.html")


def _book(found: Season) -> list[tuple[BookRow, str]]:
    """The line's generation book, with what is left of the F1's heterozygosity."""
    if found.line is None:
        return []
    return [(row, heterozygosity_words(row.generation.heterozygosity)) for row in generation_book(found.line)]


def _ribbon(lot: LineLot, whole: int) -> Ribbon:
    gone = max(0, lot.opening - lot.mg)
    parts = [Part(gone, "gone", f"{kg_words(gone)} gone"), Part(lot.mg, "left", f"{kg_words(lot.mg)} left")]
    return ribbon(parts, whole=whole, promised=min(lot.promised, lot.mg))


def _parents(story: LineStory) -> list[tuple[str, str]]:
    """The parents of its cross with their addresses, the female first."""
    cross = story.line.cross
    if cross is None:
        return []
    both = ((cross.female, cross.female_cross), (cross.male, cross.male_cross))
    return [
        (str(line or other), link_to("line" if line else "cross", str(line or other)))
        for line, other in both
        if line or other
    ]


def _picture(found: Season, book: list[tuple[BookRow, str]]) -> Picture:
    rows = [_standing(row) for row in found.rows]
    years = draw_years(rows, found.today)
    plots, lots = (sum(row.kind == kind for row in found.rows) for kind in ("plot", "lot"))
    counted = [
        *([ngettext("%(n)s plot", "%(n)s plots", plots) % {"n": plots}] if plots else []),
        *([ngettext("%(n)s lot", "%(n)s lots", lots) % {"n": lots}] if lots else []),
    ]
    what = gettext("a bar while it stood, a dot for an act, shaded while too wet to keep.")
    says = f"{gettext(' and ').join(counted) or gettext('Nothing yet')}: {what}"
    if found.left_out:
        says += " " + gettext("The oldest %(n)s are left out.") % {"n": found.left_out}
    table = [[row.name, day.isoformat(), what] for row in rows for day, what in row.marks]
    return Picture(
        gettext("Seasons of %(ref)s") % {"ref": found.ref}, says, "inventory/pictures/season.svg",
        {"years": years, "book": book},
        WIDTH + 10, years.height, [gettext("What"), gettext("Day"), gettext("Act")], table,
    )  # fmt: skip


def _standing(row: Row) -> Standing:
    marks = tuple((mark.day, mark.kind) for mark in row.marks)
    return Standing(row.name, row.start, row.end, marks, row.wet, link_to(row.kind, row.name), row.kind)
