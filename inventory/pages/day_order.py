"""The work order of a day on the line, and the runs as the sheet that people keep."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from inventory.importing.run_sheet import run_sheet_heads, run_sheet_rows
from inventory.pages.downloads import as_table
from inventory.pages.frame import station_here
from inventory.pages.preferences import preferred_unit
from inventory.queries.runs import standing_runs
from inventory.queries.to_clean import last_over_line, waits_to_be_cleaned
from inventory.rules.mass import MG_PER_KG, kg_text, read_mass
from inventory.rules.mistakes import Mistake
from inventory.rules.work_order import work_order

USUAL_LEAST = 50 * MG_PER_KG  # below it a lot is not worth a clean-out; the plant types its own
HEADS = ("turn", "clean out first", "lot", "line", "class", "kg", "place", "on hold")


@require_safe
def day_order(request: HttpRequest) -> HttpResponse:
    """Put the lots that wait in a safe order."""
    station, unit = station_here(request), preferred_unit()
    first = "dark" if request.GET.get("first") == "dark" else "light"
    says, least = "", USUAL_LEAST
    if request.GET.get("least", "").strip():
        try:
            least = read_mass(request.GET["least"], unit=unit, field="least").mg
        except Mistake as mistake:
            says = mistake.says
    after = last_over_line(station)
    turns = work_order(waits_to_be_cleaned(station, least), after, is_light_first=first == "light")
    if request.GET.get("format") == "csv":
        rows = [
            (number, "yes" if turn.needs_clean_out else "no", turn.waits.lot, turn.waits.line, turn.waits.market_class,
             kg_text(turn.waits.mg), turn.waits.places, turn.waits.hold)
            for number, turn in enumerate(turns, 1)
        ]  # fmt: skip
        return as_table("work-order", HEADS, rows)
    context = {
        "turns": turns, "after": " ".join(after).strip(), "first": first, "least": least, "says": says,
        "typed": request.GET.get("least", ""), "clean_outs": sum(turn.needs_clean_out for turn in turns),
        "whole": sum(turn.waits.mg for turn in turns),
    }  # fmt: skip
    return render(request, "inventory/line/order.html", context)


@require_safe
def run_sheet(request: HttpRequest) -> HttpResponse:
    """Give all runs as the sheet of runs; it loads back as it is."""
    return as_table("runs", run_sheet_heads(), run_sheet_rows(standing_runs(station_here(request))))
