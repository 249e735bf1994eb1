"""The daily list of the data manager: what looks wrong or is missing, in groups, with the seed that it touches.

It asks the books as they stand; that the books themselves are whole is proved by `verifying`, which reads all of them.
"""

import json
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.urls import reverse
from django.utils.translation import gettext

from hilum.plugins import LookAt
from hilum.plugins.host import the_host
from inventory.models import Container, Entry, Load, Operation, Station, Stock
from inventory.queries.clocks import Disagreement, clocks_that_disagree
from inventory.queries.floor import wet_lots
from inventory.queries.labels import without_label
from inventory.queries.runs import balances, runs_between
from inventory.queries.showing import shown_mass, shown_unit
from inventory.queries.today import today_at
from inventory.queries.uses import name_act
from inventory.rules.deliveries import TARE_MAX_AGE

RUNS_DAYS = 730  # of older runs nobody finds the tote any more; common practice, no source
NEWS_DAYS = 92  # a quarter: renamings and counts are looked through once in it
MOST_NEWS = 200
PARTS = ("books", "measured")
InStore = Mapping[str, Mapping[str, int]]  # lot -> place -> what is left [mg]


@dataclass(frozen=True)
class Group:
    """What is alike in some of what is to be looked at.

    Attributes:
        lots: how many lots it touches.
        mg: what is left of these [mg].
    """

    name: str
    items: tuple[LookAt, ...]
    lots: int = 0
    mg: int = 0


def what_to_look_at(station: Station, person: str, parts: Collection[str] = PARTS) -> list[Group]:
    """List everything that looks wrong or is missing (about twelve queries, and those of plugins).

    Args:
        person: account that looks; plugins leave out what it may not know yet.
        parts: "books" for what the ledger knows by itself, "measured" for what plugins add: it reads all that was
            measured, and takes seconds where ten thousand lots are in store.
    """
    stock, items = _in_store(station), list[LookAt]()
    if "books" in parts:
        items += _of_the_books(station, stock)
    if "measured" in parts:
        items += the_host().look_at(station.code, person)
    groups: dict[str, list[LookAt]] = defaultdict(list)
    for item in items:
        groups[item.group].append(item)
    return [_group(name, some, stock) for name, some in groups.items()]


def _plugins(station: Station) -> Iterable[LookAt]:
    """Plugins that the site goes without."""
    for trouble in the_host().troubles(station.code):
        yield LookAt(gettext("A plugin failed"), trouble.says, "/")


def _of_the_books(station: Station, stock: InStore) -> list[LookAt]:
    today = today_at(station)
    return [
        *_missing_kilos(station, today), *_contradicted(station, today), *_on_the_floor(station, stock), *_wet(station),
        *_unlabelled(station, today), *_renamed(station, today), *_kept(station), *_tares(station, today),
        *_clocks(station, today), *_plugins(station),
    ]  # fmt: skip


def _group(name: str, items: Sequence[LookAt], stock: InStore) -> Group:
    lots = {lot for item in items for lot in item.lots}
    return Group(name, tuple(items), len(lots), sum(sum(stock.get(lot, {}).values()) for lot in lots))


def _in_store(station: Station) -> InStore:
    stock: dict[str, dict[str, int]] = defaultdict(dict)
    rows = Stock.objects.filter(station=station, mg__gt=0).order_by("lot__number")
    for lot, place, mg in rows.values_list("lot__number", "place__code", "mg"):
        stock[lot][place] = stock[lot].get(place, 0) + mg
    return stock


def _missing_kilos(station: Station, today: date) -> Iterable[LookAt]:
    """Runs of two years that miss more than they may lose (3 queries)."""
    group = gettext("Runs that miss kilos")
    for run in balances(runs_between(station, today - timedelta(days=RUNS_DAYS), today)):
        if run.is_over:
            says = gettext("Run %(run)s of %(lot)s misses %(mass)s %(unit)s, %(percent)s %% of its feed.") % {
                "run": run.number, "lot": run.feed_lot, "mass": shown_mass(run.unaccounted_mg), "unit": shown_unit(),
                "percent": run.unaccounted_pct,
            }  # fmt: skip
            address = f"{reverse('act', args=['late-addition'])}?run={run.number}"
            yield LookAt(group, says, address, (run.feed_lot, *(lot for lot, _mg in run.outs)))


def _contradicted(station: Station, today: date) -> Iterable[LookAt]:
    """Counts of a quarter that found another mass than the books had (1 query)."""
    entries = Entry.objects.filter(
        station=station, operation__kind="count", operation__reversed_by__isnull=True,
        operation__at__date__gte=today - timedelta(days=NEWS_DAYS),
    ).exclude(mg=0)  # fmt: skip
    lots: dict[int, set[str]] = defaultdict(set)
    missing: dict[int, int] = defaultdict(int)
    rows = entries.order_by("-operation__seq").values_list("operation__seq", "account", "mg", "lot__number")
    for seq, account, mg, lot in rows[:MOST_NEWS]:
        missing[seq] += mg if account == "unaccounted" else 0
        lots[seq] |= {lot} - {None}
    for seq, mg in missing.items():
        says = gettext("A count of %(lots)s found %(mass)s %(unit)s %(more)s than the books had.") % {
            "lots": ", ".join(sorted(lots[seq])), "mass": shown_mass(abs(mg)), "unit": shown_unit(),
            "more": gettext("less") if mg > 0 else gettext("more"),
        }  # fmt: skip
        group = gettext("Stock that a count contradicts")
        yield LookAt(group, says, reverse("booked", args=[seq]), tuple(sorted(lots[seq])))


def _on_the_floor(station: Station, stock: InStore) -> Iterable[LookAt]:
    """Lots that stand on the receiving floor and were given no place."""
    for number, places in stock.items():
        if station.floor in places:
            words = gettext("%(lot)s still stands on the floor (%(floor)s).")
            says = words % {"lot": number, "floor": station.floor}
            yield LookAt(gettext("No place yet"), says, f"{reverse('act', args=['move'])}?lot={number}", (number,))


def _wet(station: Station) -> Iterable[LookAt]:
    for one in wet_lots(station):
        number = one.standing.lot.number
        says = gettext("%(lot)s reads %(percent)s %% since %(day)s: %(advice)s.") % {
            "lot": number, "percent": one.percent, "day": one.since.date(), "advice": one.advice,
        }  # fmt: skip
        yield LookAt(gettext("Too wet to keep"), says, f"{reverse('act', args=['dry'])}?lot={number}", (number,))


def _unlabelled(station: Station, today: date) -> Iterable[LookAt]:
    for standing in without_label(station, datetime.combine(today, time.max, ZoneInfo(station.zone))):
        number = standing.lot.number
        says = gettext("%(lot)s has no label yet.") % {"lot": number}
        yield LookAt(gettext("No label yet"), says, reverse("papers"), (number,))


def _renamed(station: Station, today: date) -> Iterable[LookAt]:
    """Lines that changed their name in a quarter (1 query)."""
    acts = Operation.objects.filter(station=station, kind="rename", at__date__gte=today - timedelta(days=NEWS_DAYS))
    for act in acts.order_by("-seq")[:MOST_NEWS]:
        record = json.loads(act.content)["facts"]
        before, name = record.get("name_before") or record.get("name", ""), record.get("name", "")
        into = record.get("merged_into", "")
        says = (
            gettext("%(one)s is one line with %(other)s now.") if into else gettext("%(one)s is called %(other)s now.")
        )
        yield LookAt(
            gettext("Lines that changed name"), says % {"one": before, "other": into or name},
            reverse("booked", args=[act.seq]),
        )  # fmt: skip


def _kept(station: Station) -> Iterable[LookAt]:
    """Questions of sheets that were answered with "keep" (1 query)."""
    loads = Load.objects.filter(station=station, unloaded_at__isnull=True).order_by("-number")[:MOST_NEWS]
    for load in loads:
        kept = [answer for answer in load.answers if answer.get("answer") == "keep"]
        for answer in kept:
            says = gettext("%(load)s, row %(row)s, %(column)s was kept as typed: %(why)s") % {
                "load": load, "row": answer.get("row"), "column": answer.get("column") or gettext("the row"),
                "why": answer.get("reason") or gettext("no reason was given"),
            }  # fmt: skip
            yield LookAt(gettext('Questions answered with "keep"'), says, reverse("load", args=[load.number]))


def _tares(station: Station, today: date) -> Iterable[LookAt]:
    """Containers whose tare was checked too long ago, or never (1 query)."""
    for container in Container.objects.filter(station=station).order_by("code"):
        on = container.checked_on
        if on is not None and today - on <= TARE_MAX_AGE:
            continue
        says = (
            gettext("%(code)s (%(kind)s): its tare was never checked.")
            if on is None
            else gettext("%(code)s (%(kind)s): its tare was last checked on %(day)s.")
        )
        words = {"code": container.code, "kind": container.kind, "day": on}
        address = f"{reverse('act', args=['check-tare'])}?container={container.code}"
        yield LookAt(gettext("Tares too old"), says % words, address)


def _clocks(station: Station, today: date) -> Iterable[LookAt]:
    """Acts of a quarter whose times cannot both be right (2 queries)."""
    since = datetime.combine(today - timedelta(days=NEWS_DAYS), time.min, ZoneInfo(station.zone))
    for one in clocks_that_disagree(station, since):
        yield LookAt(gettext("Clocks that disagree"), _disagree(one), reverse("booked", args=[one.act.seq]))


def _disagree(one: Disagreement) -> str:
    says = (
        gettext("%(act)s by %(who)s says that it was done %(apart)s after it was written down: set that clock.")
        if one.before is None
        else gettext(
            "%(act)s by %(who)s was written down %(apart)s before #%(before)s, which came first: a clock was set back."
        )
    )
    return says % {
        "act": name_act(one.act), "who": one.act.by.get_username(), "apart": _apart(one.by), "before": one.before,
    }  # fmt: skip


def _apart(span: timedelta) -> str:
    minutes = round(span.total_seconds() / 60)
    return gettext("%(n)s minutes") % {"n": minutes} if minutes < 120 else gettext("%(n)s hours") % {"n": minutes // 60}
