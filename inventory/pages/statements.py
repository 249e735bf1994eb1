"""What a sender is told of a lot, as a page; the same as a paper."""

from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.translation import gettext
from django.views.decorators.http import require_safe

from inventory.drawing.ribbon import WIDTH
from inventory.pages.frame import station_here
from inventory.pages.pictures import Picture, picture_answer
from inventory.queries.papers.common import kg, percent
from inventory.queries.papers.statement import (
    Statement,
    statement_of,
    statement_ribbon,
    statement_rows,
    statement_says,
)
from inventory.rules.mistakes import Mistake

_HEIGHT = 48  # of a ribbon with its frame [units of the drawing]


@require_safe
def statement(request: HttpRequest, number: str) -> HttpResponse:
    """Show gross received, clean-out by stream, loss and clean yield of a lot that came in."""
    try:
        told = statement_of(station_here(request), number)
    except Mistake as mistake:
        raise Http404(mistake.says) from mistake
    back = reverse("lot", args=[told.lot.number])
    return picture_answer(request, _picture(told), back=back, page="inventory/statement.html")


def _picture(told: Statement) -> Picture:
    rows = [(name, kg(mg), percent(mg, told.net)) for name, mg, _kind in statement_rows(told)]
    return Picture(
        title=gettext("Statement for %(lot)s") % {"lot": told.lot.number},
        says=statement_says(told),
        marks="inventory/_ribbon.html",
        context={"ribbon": statement_ribbon(told), "told": told},
        width=WIDTH,
        height=_HEIGHT,
        heads=(gettext("Part"), gettext("Mass"), gettext("of the net")),
        rows=[*rows, (gettext("net received"), kg(told.net), percent(told.net, told.net))],
        lines=[f"{name} {mass}" for name, mass, _share in rows],
    )
