"""Give a lot another line or other plots, found out after the seed was used; nothing is rewritten.

Lots that were made from it alone and stood under its old line follow it, each with an identity of its own in the same
act. Blends stay as they are, since their line is not this lot's alone; they are listed.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.models import User

from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Known, Typed
from inventory.actions.drafts import Draft, LinkDraft, links_to_lot
from inventory.actions.posting import post
from inventory.actions.reader import Missing, Reader
from inventory.models import Identity, Line, Link, Plot, Standing, Station
from inventory.queries.deliveries import field_weights
from inventory.queries.descent import Descendant, descendants_of, plot_comes_from
from inventory.rules import deliveries as rules
from inventory.rules.mistakes import Mistake
from inventory.rules.nodes import NodeKind, key_of, kind_of, node
from inventory.rules.sowing import SownWithItself


class NothingChanges(Mistake):
    """The lot is that already."""

    code = "nothing_changes"

    def __init__(self, lot: str, line: str) -> None:
        super().__init__(f"{lot} is {line} from these plots already. Nothing would change.", field="lot")


class MadeFromLots(Mistake):
    """A lot that no plot was harvested into."""

    code = "made_from_lots"

    def __init__(self, lot: str) -> None:
        super().__init__(
            f"{lot} was made from other lots, so it has no plots of its own. Reassign the lot that was harvested.",
            field="plot",
        )


@dataclass(frozen=True, kw_only=True)
class Reassignment:
    """What a lot is after all, as it was typed; without a line it is the plots' line."""

    lot: Typed
    line: str = ""
    plots: Sequence[str] = ()
    at: Typed = None


@action("reassign")
def reassign(
    reassignment: Reassignment, *, station: Station, by: User, reason: str = "", key: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Reassign a lot; its descendants are listed in the act's facts, those that follow it and the blends that do not.

    Raises:
        Refused: no reason, nothing would change, or the plots hold several lines.
    """
    reader = Reader(Desk(station, now), answers)
    at, why = reader.when(reassignment.at), reader.reason(reason, "a reassignment")
    reader.note_typed(**vars(reassignment))
    known = reader.lot(reassignment.lot)
    plots = [plot for typed in dict.fromkeys(reassignment.plots) if (plot := reader.plot(typed)) is not None]
    line = _line(reader, reassignment, plots)
    if known and line:
        reader.add(*_mistakes(known, line, plots))
    facts = reader.finish()
    if known is None or line is None:
        raise AssertionError("finish() lets nothing unread through")
    descendants = descendants_of(known.lot)
    following = [each for each in descendants if not each.is_blend and each.standing.line_id == known.line_id]
    facts["follow"] = [each.lot.number for each in following]
    facts["stay"] = [each.lot.number for each in descendants if each not in following]
    draft = Draft(
        kind="reassign", station=station, by=by, at=at, reason=why, key=key, facts=facts, links=_links(known, plots),
        rows=[_identity(Standing.objects.get(lot=known.lot), line, plots), *_followers(following, line)],
    )  # fmt: skip
    return Booked((post(draft),))


def _line(reader: Reader, asked: Reassignment, plots: Sequence[Plot]) -> Line | None:
    named = reader.line(asked.line) if asked.line else None
    lines = list({plot.line_id: plot.line for plot in plots}.values())
    if len(lines) > 1:
        reader.add(rules.PlotsOfSeveralLines([line.name for line in lines]))
    if named and lines and named.pk != lines[0].pk:
        reader.add(rules.LineDiffers(named.name, lines[0].name))
    if not asked.line and not asked.plots:
        reader.add(Missing("line", "QN-2104, or the plots it came from"))
    return named or (lines[0] if lines else None)


def _mistakes(known: Known, line: Line, plots: Sequence[Plot]) -> list[Mistake]:
    child, lot = node(NodeKind.LOT, known.lot.pk), known.lot.number
    parents = set(Link.objects.filter(child=child, is_sowing=False).values_list("parent", flat=True))
    if plots and any(kind_of(parent) is NodeKind.LOT for parent in parents):
        return [MadeFromLots(lot)]
    same_plots = not plots or parents == {node(NodeKind.PLOT, plot.pk) for plot in plots}
    if same_plots and line.pk == known.line_id:
        return [NothingChanges(lot, line.name)]
    if not plots:
        return _other_lines_of(parents, line)
    return [SownWithItself(lot, plot.code) for plot in plots if plot_comes_from(plot.pk, known.lot.pk)]


def _other_lines_of(parents: set[int], line: Line) -> list[Mistake]:
    """Ask where the plots that the lot keeps were sown with another line."""
    kept = [key_of(parent) for parent in parents if kind_of(parent) is NodeKind.PLOT]
    names = (
        Plot.objects.filter(pk__in=kept).exclude(line=line).order_by("line__name").values_list("line__name", flat=True)
    )
    return [rules.LineDiffers(line.name, name) for name in dict.fromkeys(names)]


def _links(known: Known, plots: Sequence[Plot]) -> list[LinkDraft]:
    """The lot's new sources: by field weights where all are known, else equally and marked assumed."""
    if not plots:
        return []
    weights = field_weights(plots)
    are_known = len(plots) == 1 or all(plot.pk in weights and not weights[plot.pk].is_estimate for plot in plots)
    sources = [
        (NodeKind.PLOT, plot.pk, weights[plot.pk].mg if are_known and plot.pk in weights else 1) for plot in plots
    ]
    return links_to_lot(known.lot.pk, sources, is_assumed=not are_known)


def _identity(before: Standing, line: Line, plots: Sequence[Plot] = ()) -> Identity:
    return Identity(
        station_id=before.station_id, lot=before.lot, line=line, market_class=line.market_class,
        opening_mg=before.opening_mg, crop_year=plots[0].season if plots else before.crop_year,
        generation=before.generation,
    )  # fmt: skip


def _followers(descendants: Sequence[Descendant], line: Line) -> list[Identity]:
    return [_identity(each.standing, line) for each in descendants if each.standing.line_id != line.pk]
