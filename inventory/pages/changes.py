"""What changed since yesterday, who did it, and why."""

from datetime import date, timedelta

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from inventory.pages.frame import station_here
from inventory.queries.act_words import subjects_of
from inventory.queries.changes import written_since
from inventory.queries.today import today_at
from inventory.queries.uses import name_act, reversals_of

MOST = 100


@require_safe
def changes(request: HttpRequest) -> HttpResponse:
    """List what was written down since yesterday, or since `?since=2025-06-01`."""
    station = station_here(request)
    since = _day(request.GET.get("since", "")) or today_at(station) - timedelta(days=1)
    before = request.GET.get("before", "")
    acts, following = written_since(station, since, before=int(before) if before.isdecimal() else None, most=MOST)
    back = reversals_of(acts)
    about = subjects_of(acts)
    rows = [(act, name_act(act.reverses or act), back.get(act.pk), about[act.pk]) for act in acts]
    return render(request, "inventory/changes.html", {"rows": rows, "since": since, "following": following})


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None
