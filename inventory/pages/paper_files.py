"""Papers as PDF: tickets, run sheets, shipment papers, statements and dossiers."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

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


@dataclass(frozen=True)
class Asked:
    """Who asks for a paper of which thing, and by which address the site is reached."""

    station: Station
    name: str
    address: str
    person: str


# What is printed -> the field that names the thing, how it is written, and its usual sheet.
_WRITTEN: dict[str, tuple[str, Callable[[Asked], Written], str]] = {
    "ticket": ("lot", lambda of: ticket_papers(of.station, of.name, of.address), "A5"),
    "small-ticket": ("lot", lambda of: ticket_papers(of.station, of.name, of.address), "roll"),
    "statement": ("lot", lambda of: _one(statement_paper(of.station, of.name, of.address)), "A4"),
    "dossier": ("lot", lambda of: _one(dossier_paper(of.station, of.name, of.address, of.person)), "A4"),
    "run": ("run", lambda of: _one(run_paper(of.station, of.name)), "A4"),
    "empty-run": ("run", lambda of: ("", [empty_run_paper(of.station)]), "A4"),
    "shipment": ("shipment", lambda of: _one(shipment_paper(of.station, of.name, of.address)), "A4"),
}


@require_safe
def paper(request: HttpRequest) -> HttpResponse:
    """Give a paper of a lot, run or shipment; `size` is A4, A5 or Letter where another than the usual is wanted."""
    what = request.GET.get("what", "")
    if what not in _WRITTEN:
        raise Http404("There is no such paper. Choose one from the page of labels and papers.")
    field, write, usual = _WRITTEN[what]
    try:
        name, papers = write(
            Asked(station_here(request), request.GET.get(field, ""), address_of(request), _name(request))
        )
    except Mistake as mistake:
        raise Http404(mistake.says) from mistake
    size = SIZES.get(request.GET.get("size", ""), SIZES[usual])
    return pdf(paper_pdf(papers, size), slugify(f"{what}-{name}"))


def _one(written: tuple[str, Paper]) -> Written:
    return written[0], [written[1]]


def _name(request: HttpRequest) -> str:
    return str(request.user.get_username())
