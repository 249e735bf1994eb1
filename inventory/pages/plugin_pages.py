"""Pages and papers that plugins bring: their pages under `/x/NAME/`, their papers from a lot's page."""

import logging
from collections.abc import Callable, Iterator, Sequence
from functools import wraps
from typing import Any

from django.conf import settings
from django.core.exceptions import PermissionDenied, SuspiciousOperation
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.text import slugify
from django.utils.translation import gettext
from django.views.decorators.http import require_safe

from hilum.plugins import PaperForm, PaperPart, PaperText, Plugin
from hilum.plugins.host import the_host
from hilum.plugins.mounting import Route, mounted
from inventory.models import Station
from inventory.pages.frame import station_here
from inventory.pages.prints import pdf
from inventory.papers.paper import SIZES, Facts, Heading, Paper, Part, Table, Words, paper_pdf
from inventory.queries.lot_story import lot_story
from inventory.rules.mistakes import Mistake

logger = logging.getLogger("hilum.plugins")
View = Callable[..., HttpResponse]
UNAVAILABLE = 503


def plugin_pages() -> Iterator[Route]:
    """Give the addresses of the pages of every plugin that the site started with."""
    plugins: Sequence[Plugin] = settings.HILUM_STARTED.plugins
    for plugin in plugins:
        if plugin.pages:
            yield from mounted(plugin, plugin.pages, f"x/{plugin.slug}/", _guarded(plugin))


def _guarded(plugin: Plugin) -> Callable[[View], View]:
    def guard(view: View) -> View:
        @wraps(view)
        def answer(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
            station = station_here(request).code
            if not the_host().is_on(plugin.slug, station):
                raise Http404(gettext("There is no page at this address."))
            try:
                return view(request, *args, **kwargs)
            except (Http404, PermissionDenied, SuspiciousOperation):
                raise
            except Exception as error:
                logger.exception("The plugin %s failed at %s.", plugin.slug, request.path)
                return failed(request, plugin.slug, error)

        answer.login_required = True  # type: ignore[attr-defined]  # whatever the plugin says of it
        return answer

    return guard


def failed(request: HttpRequest, plugin: str, error: Exception) -> HttpResponse:
    """Say that a plugin failed, with our own frame around it."""
    context = {"plugin": plugin, "error": f"{type(error).__name__}: {error}"}
    return render(request, "inventory/plugin_failed.html", context, status=UNAVAILABLE)


@require_safe
def plugin_paper(request: HttpRequest, plugin: str, form: str) -> HttpResponse:
    """Give a plugin's paper about a lot as a PDF."""
    station = station_here(request)
    found = the_host().paper_forms(station.code).get(f"{plugin}/{form}")
    if found is None:
        raise Http404("There is no such paper. Choose one from the lot's page.")
    try:
        number = lot_story(station, request.GET.get("lot", "")).lot.number
    except Mistake as mistake:
        raise Http404(mistake.says) from mistake
    try:
        text = _written(found, number, station, request.user.get_username())
    except Exception as error:
        logger.exception("The plugin %s failed in the paper %s.", plugin, form)
        return failed(request, plugin, error)
    return pdf(paper_pdf([_laid_out(text)], SIZES.get(request.GET.get("size", ""), SIZES["A4"])), slugify(text.title))


def _written(form: PaperForm, number: str, station: Station, person: str) -> PaperText:
    text = form.write(number, station.code, person)
    if not isinstance(text, PaperText):
        raise TypeError(f"a {type(text).__name__} where a PaperText is promised")
    return text


def _laid_out(text: PaperText) -> Paper:
    return Paper(text.title, text.under, tuple(part for one in text.parts for part in _parts(one)))


def _parts(part: PaperPart) -> Iterator[Part]:
    if part.heading:
        yield Heading(part.heading)
    if part.words:
        yield Words(part.words, is_loud=part.is_warning)
    if part.facts:
        yield Facts(part.facts)
    if part.columns:
        yield Table(part.columns, part.rows)


def papers_of(station: Station) -> list[tuple[str, str]]:
    """List the papers of plugins: address without the lot, and title."""
    return [(f"/print/x/{name}.pdf", form.title) for name, form in the_host().paper_forms(station.code).items()]
