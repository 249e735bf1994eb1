"""The run sheet: what was fed, what came off each spout, what is missing; or blank, to be filled in by hand."""

import json

from django.utils.translation import gettext

from inventory.drawing.ribbon import Part as Flow
from inventory.drawing.ribbon import ribbon
from inventory.models import Operation, RunRecord, Station
from inventory.papers.paper import Band, Blanks, Facts, Heading, Paper, Part, Table, Words
from inventory.queries.papers.common import foot, kg, moment, percent, who
from inventory.queries.runs import RunBalance, balances, find_run, uncleaned_before
from inventory.rules.kinds import STREAMS

EMPTY_ROWS = 3


def run_paper(station: Station, typed: str) -> tuple[str, Paper]:
    """Write a run's sheet (about 8 queries).

    Returns:
        The run's number, and the paper.

    Raises:
        Mistake: no such run.
    """
    run = find_run(station, typed)
    balance = balances([run])[0]
    parts: list[Part] = [_head(station, run, balance), *_flow(balance), *_later(station, run)]
    paper = Paper(
        title=gettext("Run %(number)s") % {"number": run.number},
        under=f"{station.name} · {run.machines}",
        parts=(*parts, *_clean_out(run)),
        foot=foot(station),
    )
    return run.number, paper


def empty_run_paper(station: Station) -> Paper:
    """Write a sheet for a run to be filled in by hand and booked later."""
    names = (gettext("Run"), gettext("Day and time"), gettext("Feed lot"), gettext("Machines"), gettext("Feed"))
    spouts = [(stream, "", "") for stream in STREAMS]
    outs = [(gettext("Clean, lot"), "", "") for _ in range(EMPTY_ROWS)]
    headings = (gettext("Spout"), gettext("Weighed"), gettext("Remarks"))
    return Paper(
        title=gettext("Run sheet"),
        under=f"{station.name} · {gettext('to be filled in by hand and booked afterwards')}",
        parts=(
            Blanks((*names, gettext("Settings"))),
            Heading(gettext("What came off")),
            Table(headings, (*outs, *spouts, (gettext("unaccounted"), "", ""))),
            Blanks((gettext("Pit, legs, screens and deck cleaned out before, by"), gettext("Run by"))),
        ),
        foot=station.name,
    )


def _head(station: Station, run: RunRecord, balance: RunBalance) -> Facts:
    settings = json.loads(run.operation.content)["facts"].get("settings") or ""
    rows = [
        (gettext("When"), moment(run.operation.at, station)),
        (gettext("Feed"), f"{balance.feed_lot}, {kg(balance.feed_mg)}"),
        (gettext("Settings"), str(settings)),
        (gettext("Booked by"), who(run.operation)),
    ]
    return Facts(tuple((name, found) for name, found in rows if found))


def _flow(balance: RunBalance) -> list[Part]:
    """Where the feed went: a sentence, the shape, and the same kilos as a table that adds up."""
    rows = [(f"{gettext('clean')} {lot}", mg) for lot, mg in balance.outs]
    rows += list(balance.streams.items())
    parts = [Flow(mg, "left" if name.startswith(gettext("clean")) else "gone", name) for name, mg in rows]
    parts.append(Flow(max(0, balance.unaccounted_mg), "unaccounted", gettext("unaccounted")))
    rows.append((gettext("unaccounted"), balance.unaccounted_mg))
    rows.append((gettext("sum"), sum(mg for _name, mg in rows)))
    says = gettext("%(feed)s were fed; %(missing)s (%(percent)s %%) are not accounted for, %(allowed)s %% may be.") % {
        "feed": kg(balance.feed_mg), "missing": kg(balance.unaccounted_mg), "percent": balance.unaccounted_pct,
        "allowed": f"{balance.allowed_ppm / 10_000:g}",
    }  # fmt: skip
    table = tuple((name, kg(mg), percent(mg, balance.feed_mg)) for name, mg in rows)
    return [
        Heading(gettext("Where the feed went")),
        Words(says, is_loud=balance.is_over),
        Band(ribbon(parts), tuple(f"{name} {kg(mg)}" for name, mg in rows[:-1])),
        Table((gettext("Spout"), gettext("Mass"), gettext("of the feed")), table, frozenset({1, 2})),
    ]


def _later(station: Station, run: RunRecord) -> list[Part]:
    acts = Operation.objects.filter(about=run.operation, reversed_by__isnull=True, reverses__isnull=True)
    rows = tuple((moment(act.at, station), act.kind, who(act)) for act in acts.select_related("by").order_by("seq"))
    if not rows:
        return []
    headings = (gettext("When"), gettext("What"), gettext("Who and why"))
    return [Heading(gettext("Booked to it afterwards, and counted above")), Table(headings, rows)]


def _clean_out(run: RunRecord) -> list[Part]:
    if run.is_cleaned_out:
        said: list[Part] = [Words(gettext("Pit, legs, screens and deck were cleaned out before this run."))]
    else:
        before = ", ".join(f"{one.number} ({one.line})" for one in uncleaned_before(run))
        words = gettext("The line was not cleaned out before this run. Over it went before: %(runs)s.")
        said = [Words(words % {"runs": before or gettext("seed of the same line")}, is_loud=bool(before))]
    return [Heading(gettext("Clean-out")), *said, Blanks((gettext("Clean-out seen by"), gettext("Day")))]
