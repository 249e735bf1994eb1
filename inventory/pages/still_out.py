"""Which plots have not come in yet: a map of the season's trials, and the last ones missing by name."""

from collections.abc import Sequence

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext, ngettext
from django.views.decorators.http import require_safe

from inventory.drawing.plotmap import Harvest, MapPlot, plotmap
from inventory.pages.downloads import as_picture, as_table
from inventory.pages.frame import station_here
from inventory.queries.still_out import missing, plots_by_harvest, seasons_of
from inventory.rules.reading import listed

MOST_NAMED = 6
MARGIN = 16  # units around the picture of a file


@require_safe
def still_out(request: HttpRequest) -> HttpResponse:
    """Draw the plots of a season, in and out; `?season=` chooses it, `?format=svg|csv` gives it away."""
    station = station_here(request)
    seasons = seasons_of(station)
    typed = request.GET.get("season", "")
    season = int(typed) if typed.isdecimal() and int(typed) in seasons else (seasons or [0])[0]
    plots = plots_by_harvest(station, season)
    says, drawn = _says(plots), plotmap(plots, rep_words=gettext("rep"), block_words=gettext("blocks"))
    name, wanted = f"still-out-{season}", request.GET.get("format", "")
    if wanted == "csv":
        return as_table(name, _HEADS, ((p.code, p.trial, p.rep or "", p.position or "", p.harvest) for p in plots))
    context = {"map": drawn, "says": says, "season": season or "", "seasons": seasons, "plots": plots}
    if wanted == "svg":
        size = {"width": max(drawn.width, 640) + MARGIN, "height": drawn.height + 40 + MARGIN}
        return as_picture(name, "inventory/floor/still_out.svg", {**context, **size}, request)
    words = {Harvest.IN: gettext("in"), Harvest.WEIGHED: gettext("weighed, not in"), Harvest.OUT: gettext("still out")}
    rows = [(plot, words[plot.harvest]) for plot in sorted(plots, key=lambda plot: plot.harvest is Harvest.IN)]
    return render(request, "inventory/floor/still_out.html", {**context, "rows": rows})


_HEADS = ("plot", "trial", "rep", "position", "seed")


def _says(plots: Sequence[MapPlot]) -> str:
    """Say how many plots are missing, and which: the last one by name."""
    out = missing(plots)
    if not out:
        return gettext("Every plot is in: %(n)d of %(n)d.") % {"n": len(plots)}
    if len(out) == 1:
        return gettext("One plot is missing: %(plot)s.") % {"plot": out[0].code}
    named = listed([plot.code for plot in out[:MOST_NAMED]], "and") if len(out) <= MOST_NAMED else ""
    words = ngettext("%(n)d of %(all)d plot is missing", "%(n)d of %(all)d plots are missing", len(out))
    said = words % {"n": len(out), "all": len(plots)}
    return f"{said}: {named}." if named else f"{said}."
