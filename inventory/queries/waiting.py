"""What waits for somebody at a station: runs that are open, wet lots, and what plugins add."""

from collections.abc import Iterable
from datetime import timedelta

from django.urls import reverse
from django.utils.translation import gettext, ngettext

from hilum.plugins import Waiting
from hilum.plugins.host import the_host
from inventory.models import Station, ToldPlugin
from inventory.queries.carry_over import carried_over
from inventory.queries.drafts import open_drafts
from inventory.queries.floor import wet_lots
from inventory.queries.labels import without_label
from inventory.queries.runs import balances, runs_between
from inventory.queries.sheet_drafts import sheets_waiting
from inventory.queries.showing import shown_mass, shown_unit
from inventory.queries.today import today_at
from inventory.rules.roles import BENCH, BREEDER, INTAKE, LINE, RECORDS, may

AREA_OF_ROLE = {INTAKE: "floor", LINE: "floor", BENCH: "bench", BREEDER: "breeding", RECORDS: "floor"}

MOST_SHEETS = 20
MISSING_DAYS = 60


def what_waits(station: Station, role: str) -> list[Waiting]:
    """List what waits, what this role may end first, then the longest wait first."""
    items = [
        *_open_runs(station),
        *_missing(station),
        *_wet(station),
        *_carried(station),
        *_labels(station),
        *_sheets(station),
        *the_host().waiting(station.code),
        *(_plugins(station) if role == RECORDS else ()),
    ]
    return sorted(items, key=lambda item: (not _is_theirs(item, role), item.since or "9"))


def _is_theirs(item: Waiting, role: str) -> bool:
    return may(role, item.verb) if item.verb else AREA_OF_ROLE.get(role) == item.area


def _open_runs(station: Station) -> Iterable[Waiting]:
    for draft in open_drafts(station):
        words = f"Run {draft.number} of {draft.feed_lot.number} is being filled"
        yield Waiting("floor", words, reverse("run", args=[draft.number]), verb="clean")


def _missing(station: Station) -> Iterable[Waiting]:
    """Runs of two months that were left open: booked, and still missing more than they may lose (3 queries)."""
    today = today_at(station)
    for run in balances(runs_between(station, today - timedelta(days=MISSING_DAYS), today)):
        if run.is_over:
            words = gettext("Run %(run)s of %(lot)s misses %(mass)s %(unit)s") % {
                "run": run.number, "lot": run.feed_lot, "mass": shown_mass(run.unaccounted_mg), "unit": shown_unit(),
            }  # fmt: skip
            yield Waiting("floor", words, reverse("run", args=[run.number]), run.at.isoformat(), verb="clean")


def _wet(station: Station) -> Iterable[Waiting]:
    """One line for all lots that are too wet to keep, waiting as long as the longest."""
    wet = wet_lots(station)
    if wet:
        words = ngettext("%(n)s lot is too wet to keep", "%(n)s lots are too wet to keep", len(wet))
        yield Waiting("floor", words % {"n": len(wet)}, reverse("floor-wet"), wet[0].since.isoformat(), verb="dry")


def _carried(station: Station) -> Iterable[Waiting]:
    """Lots that may hold darker seed wait for whoever grades them."""
    for one in carried_over(station):
        words = gettext("%(lot)s came over an uncleaned line after darker seed: grade it") % {"lot": one.lot}
        since = one.run.operation.at.isoformat()
        yield Waiting("bench", words, reverse("lot", args=[one.lot]), since, verb="grade")


def _plugins(station: Station) -> Iterable[Waiting]:
    """Plugins that the site goes without wait for whoever looks after the records (1 query)."""
    unheard = ToldPlugin.objects.filter(station=station).exclude(failed="").values_list("failed", flat=True)
    for says in (*(trouble.says for trouble in the_host().troubles(station.code)), *unheard):
        yield Waiting("floor", says, reverse("look"), verb="people")


def _sheets(station: Station) -> Iterable[Waiting]:
    """Sheets that are kept aside until their questions are answered (1 query)."""
    for draft in sheets_waiting(station)[:MOST_SHEETS]:
        words = gettext("%(name)s is looked through and not saved yet") % {"name": draft.file_name}
        yield Waiting("floor", words, reverse("sheet", args=[draft.uid]), draft.touched_at.isoformat(), verb="load")


def _labels(station: Station) -> Iterable[Waiting]:
    """One line for all labels that were not printed: nothing is lost where the printer is out."""
    waiting = without_label(station)
    if waiting:
        words = ngettext("%(n)s label is not printed yet", "%(n)s labels are not printed yet", len(waiting))
        since = waiting[0].made_at.isoformat() if waiting[0].made_at else ""
        yield Waiting("floor", words % {"n": len(waiting)}, reverse("papers"), since, verb="label")
