"""What each machine lost, month by month: unaccounted first, each row with its runs."""

import re
from collections.abc import Sequence
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.dateformat import format as date_format
from django.utils.translation import gettext
from django.views.decorators.http import require_safe

from inventory.drawing.losses import Columns, Lost, columns
from inventory.pages.downloads import as_picture, as_table
from inventory.pages.frame import station_here
from inventory.queries.losses import MonthLoss, last_month_with_runs, losses_by_month
from inventory.queries.showing import shown_mass, shown_unit
from inventory.queries.today import today_at
from inventory.rules.kinds import STREAMS
from inventory.rules.mass import kg_text
from inventory.rules.months import Month, months_to
from inventory.rules.runs import percent_of

MONTHS = 12
HEADS = ("month", "machines", "runs", "feed_kg", "unaccounted_kg", "unaccounted_pct_of_feed", "clean_kg",
         *(f"{stream}_kg" for stream in STREAMS))  # fmt: skip


@require_safe
def losses(request: HttpRequest) -> HttpResponse:
    """Show a year of losses, as a page, a table or a picture; `to=2025-10` names its last month."""
    station = station_here(request)
    last = _month(request.GET.get("to", "")) or last_month_with_runs(station, today_at(station))
    months = months_to(last, MONTHS)
    rows = losses_by_month(station, months)
    name = f"losses-{months[0]}-to-{last}"
    if request.GET.get("format") == "csv":
        return as_table(name, HEADS, [_exact(row) for row in rows])
    context = {
        "rows": sorted(rows, key=lambda row: -row.lost.unaccounted_mg), "drawn": _drawn(months, rows),
        "says": _says(rows), "first": months[0], "last": last, "earlier": months_to(months[0], 2)[0],
        "later": _later(last), "streams": STREAMS,
    }  # fmt: skip
    if request.GET.get("format") == "svg":
        return as_picture(name, "inventory/line/losses.svg", context, request)
    return render(request, "inventory/line/losses.html", context)


def _month(typed: str) -> Month | None:
    found = re.fullmatch(r"(\d{4})-(\d{2})", typed)
    if found is None or not (1900 < int(found[1]) < 2900 and 1 <= int(found[2]) <= 12):
        return None
    return Month(int(found[1]), int(found[2]))


def _later(last: Month) -> Month:
    """The last month of the year after."""
    return Month(last.year + 1, last.number)


def _says(rows: Sequence[MonthLoss]) -> str:
    feed = sum(row.lost.feed_mg for row in rows)
    if not feed:
        return gettext("No run went over the line in these months.")
    missing = sum(row.lost.unaccounted_mg for row in rows)
    figures = {
        "missing": shown_mass(missing), "unit": shown_unit(), "percent": percent_of(missing, feed),
        "feed": shown_mass(feed), "taken": shown_mass(sum(row.taken_mg for row in rows)),
    }  # fmt: skip
    return gettext(
        "%(missing)s %(unit)s of %(feed)s fed are unaccounted (%(percent)s %%); %(taken)s were taken off."
    ) % figures  # fmt: skip


def _drawn(months: Sequence[Month], rows: Sequence[MonthLoss]) -> Columns:
    words = [_month_words(month, is_first=not place) for place, month in enumerate(months)]
    return columns(words, [one for row in rows for one in _lost(months, row)])


def _month_words(month: Month, *, is_first: bool) -> str:
    """Name a month shortly, its year at the first and at each January: twelve have to stand beside each other."""
    name = date_format(month.first, "M")
    return f"{name} {month.year}" if is_first or month.number == 1 else name


def _lost(months: Sequence[Month], row: MonthLoss) -> Sequence[Lost]:
    where, machines, link = months.index(row.month), row.lost.machines, f"#{row.anchor}"
    taken = f"{row.month} {machines}: {shown_mass(row.taken_mg)}"
    missing = f"{row.month} {machines}: {gettext('unaccounted')} {shown_mass(row.lost.unaccounted_mg)}"
    return [
        Lost(where, machines, row.taken_mg, "taken", taken, link),
        Lost(where, machines, row.lost.unaccounted_mg, "unaccounted", missing, link),
    ]


def _exact(row: MonthLoss) -> tuple[Any, ...]:
    lost = row.lost
    streams = (kg_text(lost.streams.get(stream, 0)) for stream in STREAMS)
    return (
        str(row.month), lost.machines, " ".join(lost.runs), kg_text(lost.feed_mg), kg_text(lost.unaccounted_mg),
        row.unaccounted_pct, kg_text(lost.clean_mg), *streams,
    )  # fmt: skip
