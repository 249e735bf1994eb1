"""Papers as PDF: tickets, run sheets, shipment papers, statements and dossiers."""

from collections.abc import Callable, Sequence

from django.http import Http404, HttpRequest, HttpResponse
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from inventory.models import Station
from inventory.pages.frame import station_here
from inventory.pages.prints import address_of, pdf
from inventory.papers.paper import SIZES, Paper, paper_pdf
from inventory.queries.papers.dossier import dossier_paper
from inventory.queries.papers.run import empty_run_paper, run_paper
from inventory.queries.papers.shipment import shipment_paper
from inventory.queries.papers.statement import statement_paper
from inventory.queries.papers.ticket import ticket_papers
from inventory.rules.mistakes import Mistake

Written = tuple[str, Sequence[Paper]]
# What is printed -> the field that names the thing, how it is written, and its usual sheet.
_WRITTEN: dict[str, tuple[str, Callable[[Station, str, str], Written], str]] = {
    "ticket": ("lot", ticket_papers, "A5"),
    "small-ticket": ("lot", ticket_papers, "roll"),
    "statement": ("lot", lambda station, name, address: _one(statement_paper(station, name, address)), "A4"),
    "dossier": ("lot", lambda station, name, address: _one(dossier_paper(station, name, address)), "A4"),
    "run": ("run", lambda station, name, _address: _one(run_paper(station, name)), "A4"),
    "empty-run": ("run", lambda station, _name, _address: ("", [empty_run_paper(station)]), "A4"),
    "shipment": ("shipment", lambda station, name, address: _one(shipment_paper(station, name, address)), "A4"),
}


@require_safe
def paper(request: HttpRequest) -> HttpResponse:
    """Give a paper of a lot, run or shipment; `size` is A4, A5 or Letter where another than the usual is wanted."""
    what = request.GET.get("what", "")
    if what not in _WRITTEN:
        raise Http404("There is no such paper. Choose one from the page of labels and papers.")
    field, write, usual = _WRITTEN[what]
    try:
        name, papers = write(station_here(request), request.GET.get(field, ""), address_of(request))
    except Mistake as mistake:
        raise Http404(mistake.says) from mistake
    size = SIZES.get(request.GET.get("size", ""), SIZES[usual])
    return pdf(paper_pdf(papers, size), slugify(f"{what}-{name}"))


def _one(written: tuple[str, Paper]) -> Written:
    return written[0], [written[1]]
