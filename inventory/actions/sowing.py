"""Sow seed of a lot on plots: it leaves the store, and each plot is linked to the lot without a share."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.models import User

from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Known, Typed
from inventory.actions.drafts import Draft, EntryDraft, LinkDraft, outside, seed
from inventory.actions.guarding import hold_mistakes
from inventory.actions.leaving import note_promises
from inventory.actions.posting import post_all
from inventory.actions.reader import Missing, Reader, sure
from inventory.actions.taking import NoSuchBag, Taken, take
from inventory.models import Line, MarketClass, Plot, Station
from inventory.queries.descent import comes_from, sown_with
from inventory.rules import sowing as rules
from inventory.rules.mistakes import Mistake
from inventory.rules.nodes import NodeKind, node


@dataclass(frozen=True, kw_only=True)
class Sowing:
    """A sowing as it was typed: one lot on plots.

    Args:
        plots: codes of the plots.
        mass: what was sown; may be left out where `parts` says it plot by plot.
        parts: what fell on each plot, in their order; without it shared by area, or equally.
        put_back: what of the bags that were opened went back into `put_back_bag`.
    """

    lot: Typed
    plots: Sequence[str]
    mass: Typed = None
    parts: Sequence[Typed] = ()
    bags: Typed = ""
    place: str = ""
    put_back: Typed = None
    put_back_bag: int = 0
    unit: str = "kg"
    at: Typed = None


@action("sow")
def sow(
    sowing: Sowing, *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Sow one lot: `sow_all` with one."""
    return sow_all([sowing], station=station, by=by, key=key, reason=reason, answers=answers, now=now)


@action("sow")
def sow_all(
    sowings: Sequence[Sowing], *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Sow lots, each in an act of its own; all or none.

    Raises:
        Refused: a lot is on hold, or comes from the plot it is sown on, or there is less of it than is sown.
    """
    desk = Desk(station, now)
    drafts = [plan_sowing(Reader(desk, answers), sowing, by=by, key=key, reason=reason) for sowing in sowings]
    return Booked(tuple(post_all(drafts)))


def plan_sowing(reader: Reader, sowing: Sowing, *, by: User, key: str = "", reason: str = "") -> Draft:
    """Plan a sowing on the reader's desk.

    Raises:
        Refused: all that stands in the way of this sowing.
    """
    at = reader.when(sowing.at)
    reader.note_typed(**vars(sowing))
    known = reader.lot(sowing.lot)
    plots = [plot for typed in dict.fromkeys(sowing.plots) if (plot := reader.plot(typed)) is not None]
    if not sowing.plots:
        reader.add(Missing("plot", "QM25-I1"))
    if known:
        reader.add(*hold_mistakes(reader.desk.station, [known.lot.pk]))
        reader.add(*_plot_mistakes(known, plots))
    mg, parts = _sown(reader, sowing, plots)
    taken, back = _taken(reader, sowing, known, mg)
    if known and taken:
        note_promises(reader, known, mg)
    assumed = (not sowing.parts and reader.attempt(lambda: _shared(mg, plots, parts))) or False
    facts = reader.finish()
    draft = Draft(
        kind="sow", station=reader.desk.station, by=by, at=at, reason=reason, key=key, facts=facts,
        entries=[*sure(taken).entries, *back, outside("sown", mg)],
        links=_links(sure(known), plots, parts, is_assumed=assumed),
    )  # fmt: skip
    return reader.desk.plan(draft)


def _sown(reader: Reader, sowing: Sowing, plots: Sequence[Plot]) -> tuple[int, list[int]]:
    """What was sown, and plot by plot where that was stated [mg]."""
    parts = [read.mg for part in sowing.parts if (read := reader.positive(part, "part", sowing.unit))]
    mass = reader.positive(sowing.mass, "mass", sowing.unit) if sowing.mass is not None or not sowing.parts else None
    if sowing.parts and len(sowing.parts) != len(plots):
        reader.add(Missing("part", f"one mass for each of the {len(plots)} plots"))
    if mass and parts and sum(parts) != mass.mg:
        reader.add(rules.SplitDiffers(sum(parts), mass.mg))
    return mass.mg if mass else sum(parts), parts


def _shared(mg: int, plots: Sequence[Plot], parts: list[int]) -> bool:
    """Fill in the parts that were not stated; say whether equal ones were assumed."""
    if not mg or not plots:
        return False
    shared, is_assumed = rules.share_out(mg, [plot.area_m2 for plot in plots])
    parts.extend(shared)
    return is_assumed


def _taken(
    reader: Reader, sowing: Sowing, known: Known | None, mg: int
) -> tuple[Taken | None, list[EntryDraft]]:  # fmt: skip
    """What leaves the lot, and what of it goes back into a bag."""
    if known is None or not mg:
        return None, []
    if sowing.put_back in (None, ""):
        return take(reader, known, mg, place=sowing.place, bags=sowing.bags), []
    back = reader.positive(sowing.put_back, "put_back", sowing.unit)
    slot = next((slot for slot in reader.desk.stock(known.lot) if slot[1] == sowing.put_back_bag and slot[1]), None)
    if slot is None:
        reader.add(NoSuchBag(known.lot.number, sowing.put_back_bag))
    if back is None or slot is None:
        return None, []
    taken = take(reader, known, mg + back.mg, place=sowing.place, bags=sowing.bags)
    return taken, [seed(known.lot.pk, slot[0], back.mg, slot[1])]


def _plot_mistakes(known: Known, plots: Sequence[Plot]) -> list[Mistake]:
    lot, before = known.lot, sown_with([plot.pk for plot in plots])
    mistakes: list[Mistake] = [rules.SownBefore(plot.code, before[plot.pk]) for plot in plots if plot.pk in before]
    mistakes += [rules.SownWithItself(lot.number, plot.code) for plot in plots if comes_from(lot.pk, plot.pk)]
    line = Line.objects.filter(pk=known.line_id or 0).first()
    market_class = MarketClass.objects.filter(pk=known.market_class_id or 0).first()
    for plot in plots:
        if line and line.pk != plot.line_id:
            mistakes.append(rules.OtherLineStands(lot.number, line.name, plot.code, plot.line.name))
        elif not line and (market_class != plot.line.market_class or market_class is None):
            what = f"a blend of {market_class}" if market_class else "a blend"
            mistakes.append(rules.OtherLineStands(lot.number, what, plot.code, plot.line.name))
    return mistakes


def _links(known: Known, plots: Sequence[Plot], parts: Sequence[int], *, is_assumed: bool) -> list[LinkDraft]:
    parent, total = node(NodeKind.LOT, known.lot.pk), sum(parts)
    return [
        LinkDraft(parent, node(NodeKind.PLOT, plot.pk), part, total, is_sowing=True, is_assumed=is_assumed)
        for plot, part in zip(plots, parts, strict=True)
    ]
