"""A lot's dossier for an inspector: from the field to the truck on one document, corrections last with reasons."""

from collections.abc import Iterable, Sequence

from django.db.models import Q
from django.utils.translation import gettext

from hilum.plugins.host import the_host
from inventory.drawing.ribbon import Part as Flow
from inventory.drawing.ribbon import Ribbon, ribbon
from inventory.models import Operation, Station
from inventory.papers.paper import Band, Facts, Heading, Paper, Part, Table, Words
from inventory.queries.label_texts import scan_address
from inventory.queries.lot_story import Happened, LotStory, lot_story
from inventory.queries.papers.common import day, digits_of, foot, kg, moment, percent, who
from inventory.queries.runs import balances, standing_runs
from inventory.queries.showing import shown_number
from inventory.queries.tracing import Trace, TraceNode, trace
from inventory.queries.treated import caution_words, treatments_on, warning_words
from inventory.queries.uses import name_act

MOST_TRACED = 500
_CORRECTING = ("adjust", "reassign", "late addition", "reverse", "write off")


def dossier_paper(station: Station, typed: str, address: str, person: str = "") -> tuple[str, Paper]:
    """Write a lot's dossier (about 60 queries, however long its story).

    Args:
        person: name of the account that asks; what is hidden from it now stays out.

    Returns:
        The lot's number, and the paper.

    Raises:
        Mistake: the lot is not known.
    """
    story = lot_story(station, typed)
    number = story.lot.number
    back = trace(station, number, most=MOST_TRACED)
    forward = trace(station, number, forward=True, most=MOST_TRACED)
    chain = [node.id for node in back.nodes if node.kind == "lot"]
    parts: list[Part] = [
        *_warnings(station, story),
        _what(station, story),
        *_where_it_went(story),
        *_traced(station, gettext("What it came from, nearest first"), back),
        *_panels(station, number, person),
        *_runs(station, chain),
        *_balance(station, story),
        *_traced(station, gettext("What came of it"), forward),
        *_corrections(station, chain),
    ]
    digits = digits_of(story.lot)
    paper = Paper(
        title=gettext("Lot %(lot)s") % {"lot": number},
        under=f"{station.name} · {gettext('from the field to the truck')}",
        parts=tuple(parts),
        foot=foot(station),
        digits=digits,
        address=scan_address(address, digits),
    )
    return number, paper


def _warnings(station: Station, story: LotStory) -> Iterable[Part]:
    if not story.is_made:
        yield Words(gettext("This number stands for nothing now: its making was taken back."), is_loud=True)
    if story.standing and story.standing.treated:
        yield Words(f"{warning_words()}.\n{caution_words(treatments_on([story.lot.pk]))}", is_loud=True)
    for hold in story.holds:
        words = gettext("On hold since %(day)s: %(reason)s (%(who)s).")
        yield Words(words % {"day": day(hold.since, station), "reason": hold.reason, "who": hold.by}, is_loud=True)


def _what(station: Station, story: LotStory) -> Facts:
    standing = story.standing
    if standing is None:
        return Facts(())
    rows = (
        (gettext("Line"), standing.line.name if standing.line else gettext("blend")),
        (gettext("Class"), standing.market_class.name if standing.market_class else ""),
        (gettext("Generation"), story.generation.words),
        (gettext("Made on"), day(standing.made_at, station)),
        (gettext("Made by"), name_act(standing.made_by) if standing.made_by else ""),
        (gettext("Opening"), kg(standing.opening_mg)),
        (gettext("In store"), kg(story.left)),
        (gettext("Stands at"), ", ".join(dict.fromkeys(row.place.code for row in story.stock))),
        (gettext("Moisture, wet basis"), f"{shown_number(story.moisture)} %" if story.moisture is not None else ""),
    )
    return Facts(tuple((name, found) for name, found in rows if found))


def _where_it_went(story: LotStory) -> Iterable[Part]:
    gone = [row for row in story.happened if row.counts and row.change < 0]
    if not gone and not story.left:
        return
    parts = [Flow(-row.change, _kind(row), _words(row)) for row in gone]
    drawn: Ribbon = ribbon(
        [*parts, Flow(story.left, "left", gettext("in store"))], promised=min(story.promised, story.left)
    )
    yield Heading(gettext("Where it went"))
    words = [f"{_words(row)} {kg(-row.change)}" for row in gone] + [f"{gettext('in store')} {kg(story.left)}"]
    treated = bool(story.standing and story.standing.treated)
    yield Band(drawn, tuple(words), is_held=bool(story.holds), is_treated=treated)


def _kind(row: Happened) -> str:
    return "unaccounted" if row.where_to == "unaccounted" else "gone"


def _words(row: Happened) -> str:
    return f"{row.operation.kind} > {row.where_to}" if row.where_to else row.operation.kind


def _traced(station: Station, heading: str, traced: Trace) -> Iterable[Part]:
    nodes = traced.nodes[1:]
    if not nodes:
        return
    yield Heading(heading)
    headings = (gettext("What"), gettext("Name"), gettext("Day"), gettext("Mass"), gettext("Share"))
    yield Table(headings, tuple(_node(station, node) for node in nodes), frozenset({3, 4}))
    if traced.truncated:
        yield Words(gettext("There is more than these; shares are left out, since what is beyond may add to them."))


def _node(station: Station, node: TraceNode) -> tuple[str, ...]:
    share = percent(node.share.numerator, node.share.denominator) if node.share is not None else ""
    return node.kind, node.label, day(node.day, station), kg(node.mg) if node.mg is not None else "", share


def _panels(station: Station, number: str, person: str) -> Iterable[Part]:
    """What grading and other plugins say of the lot: grades, germination, health."""
    for panel in the_host().lot_panels(number, station.code, person):
        yield Heading(panel.title)
        yield Facts(panel.rows)


def _runs(station: Station, chain: Sequence[str]) -> Iterable[Part]:
    """The runs that its seed and that of its sources went over, with what came off."""
    rows = []
    for run in balances(standing_runs(station).filter(feed_lot__number__in=chain)):
        out = ", ".join(f"{lot} {kg(mg)}" for lot, mg in run.outs)
        off = ", ".join(f"{stream} {kg(mg)}" for stream, mg in run.streams.items())
        lost = f"{kg(run.unaccounted_mg)} ({run.unaccounted_pct} %)"
        what = f"{run.number} {run.machines}"
        rows.append((what, day(run.at, station), f"{run.feed_lot} {kg(run.feed_mg)}", out, off, lost))
    if rows:
        headings = (
            gettext("Run"), gettext("Day"), gettext("Feed"), gettext("Clean"), gettext("Taken off"),
            gettext("Unaccounted"),
        )  # fmt: skip
        yield Heading(gettext("Runs over the line"))
        yield Table(headings, tuple(rows))


def _balance(station: Station, story: LotStory) -> Iterable[Part]:
    """Each act with what it brought or took; what stands adds up to what is in store."""
    rows = [
        (moment(row.operation.at, station), row.name + (f" > {row.where_to}" if row.where_to else ""),
         kg(row.change) if row.change else "", who(row.operation))
        for row in story.happened
    ]  # fmt: skip
    total = sum(row.change for row in story.happened)
    rows.append(("", gettext("in store"), kg(total), ""))
    yield Heading(gettext("Every act upon it"))
    yield Table(
        (gettext("When"), gettext("What"), gettext("Mass"), gettext("Who and why")), tuple(rows), frozenset({2})
    )


def _corrections(station: Station, chain: Sequence[str]) -> Iterable[Part]:
    """What was put right on the lot or on anything it came from, with reasons."""
    touched = Q(entries__lot__number__in=chain) | Q(identities__lot__number__in=chain)
    acts = Operation.objects.filter(touched, station=station, kind__in=_CORRECTING).distinct()
    listed = acts.select_related("by", "reverses__run", "reverses__shipment", "run", "shipment").order_by("seq")
    rows = tuple(
        (moment(act.recorded_at, station), f"{act.kind} > {name_act(act.reverses)}" if act.reverses else name_act(act),
         who(act))
        for act in listed
    )  # fmt: skip
    yield Heading(gettext("Corrections, on it and on what it came from"))
    if rows:
        yield Table((gettext("Written down"), gettext("What"), gettext("Who and why")), rows)
    else:
        yield Words(gettext("None."))
