"""What trial plots gave: the harvested mass of their lots at one stated moisture, per area."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from django.db.models import Sum

from inventory.models import Entry, Link, Lot, Moisture, Plot, Station
from inventory.queries.uses import in_parts
from inventory.rules.nodes import NodeKind, key_of, kind_of, node

MG_PER_M2_IN_T_HA = 100_000  # 1 t/ha is 100 g/m2
LEFT_OUT = ("no lot came in from it", "its area is not known", "its lot has no moisture", "its lot mixes lines")


@dataclass(frozen=True)
class PlotYield:
    """What one plot gave.

    Attributes:
        plot: with its site and line (the line of today, where it was merged).
        line: its name.
        lot: number of the lot that it came in as.
        t_ha: at the stated moisture, not rounded [t/ha].
        is_shared_out: several plots came in as one lot and their weights were not known: their mean is right, a single
            one is not.
    """

    plot: Plot
    line: str
    lot: str
    t_ha: Fraction
    is_shared_out: bool

    @property
    def site_year(self) -> str:
        """Where and when, with the trial where it has a name: "QM 2024"."""
        trial = f" {self.plot.trial}" if self.plot.trial else ""
        return f"{self.plot.site.code} {self.plot.season}{trial}"


def trial_yields(station: Station, moisture_pct: Decimal) -> tuple[list[PlotYield], dict[str, str]]:
    """Give the yields of all trial plots (5 queries for 500 plots).

    A lot's mass is what was harvested into it, adjustments taken in; its moisture is the one that was read when it came
    in, else the first one. Plots that came in as one lot share it by their field weights.

    Args:
        moisture_pct: to which all are brought [% wet basis].

    Returns:
        Yields by season, site and plot; and plot -> why it was left out, for trial plots with none.
    """
    plots = {
        plot.pk: plot
        for plot in Plot.objects.filter(station=station, is_block=False, taken_back=False)
        .select_related("site", "line__merged_into")
        .order_by("season", "site__code", "code")
    }
    links = _links(plots)
    lots = {key_of(link.child) for link in links}
    masses, moistures = _harvested(lots), _moistures(lots)
    mixed = _mixed(links, plots)
    found: dict[int, list[PlotYield]] = {}
    why: dict[int, str] = dict.fromkeys(plots, LEFT_OUT[0])
    for link in links:
        plot, lot = plots[key_of(link.parent)], key_of(link.child)
        area, moisture = plot.area_m2, moistures.get(lot)
        if lot not in masses or area is None or area <= 0 or moisture is None or lot in mixed:
            why[plot.pk] = _why(plot, lot, masses=masses, moisture=moisture, mixed=mixed)
            continue
        number, mg = masses[lot]
        dry = Fraction(100 - moisture) / Fraction(100 - moisture_pct)
        t_ha = Fraction(mg * link.weight, link.total) * dry / Fraction(area) / MG_PER_M2_IN_T_HA
        line = (plot.line.merged_into or plot.line).name
        found.setdefault(plot.pk, []).append(PlotYield(plot, line, number, t_ha, link.is_assumed))
    yields = [_together(rows) for key, rows in sorted(found.items(), key=lambda item: list(plots).index(item[0]))]
    return yields, {plots[key].code: reason for key, reason in why.items() if key not in found}


def _together(rows: list[PlotYield]) -> PlotYield:
    """Add up what a plot gave in several deliveries."""
    first = rows[0]
    return PlotYield(
        first.plot, first.line, ", ".join(row.lot for row in rows), sum((row.t_ha for row in rows), Fraction(0)),
        any(row.is_shared_out for row in rows),
    )  # fmt: skip


def _links(plots: Iterable[int]) -> list[Link]:
    links: list[Link] = []
    for some in in_parts([node(NodeKind.PLOT, key) for key in plots]):
        rows = Link.objects.filter(parent__in=some, is_sowing=False, operation__reversed_by__isnull=True)
        links += [link for link in rows if kind_of(link.child) is NodeKind.LOT]
    return links


def _mixed(links: Iterable[Link], plots: Mapping[int, Plot]) -> set[int]:
    """Lots whose plots bear several lines."""
    lines: dict[int, set[int]] = {}
    for link in links:
        lines.setdefault(key_of(link.child), set()).add(plots[key_of(link.parent)].line_id)
    return {lot for lot, several in lines.items() if len(several) > 1}


def _harvested(lots: Iterable[int]) -> dict[int, tuple[str, int]]:
    """What was harvested into lots, by acts that stand: number and mass [mg]."""
    found: dict[int, tuple[str, int]] = {}
    for some in in_parts(sorted(lots)):
        acts = Entry.objects.filter(
            lot__in=some, operation__entries__account="harvested", operation__reversed_by__isnull=True,
            operation__reverses__isnull=True,
        )  # fmt: skip
        of_act = set(acts.values_list("operation_id", "lot_id"))
        numbers = dict(Lot.objects.filter(pk__in=some).values_list("pk", "number"))
        entries = _own_masses([operation for operation, _lot in of_act])
        for operation, lot in of_act:
            mg = found.get(lot, ("", 0))[1] + entries[operation]
            found[lot] = numbers[lot], mg
    return {lot: (number, mg) for lot, (number, mg) in found.items() if mg > 0}


def _own_masses(operations: list[int]) -> dict[int, int]:
    rows = Entry.objects.filter(operation__in=operations, account="harvested").values_list("operation_id")
    return {operation: -mg for operation, mg in rows.annotate(mg=Sum("mg")).order_by()}


def _moistures(lots: Iterable[int]) -> dict[int, Decimal]:
    """The first moisture of each lot that stands [% wet basis]."""
    found: dict[int, Decimal] = {}
    for some in in_parts(sorted(lots)):
        rows = Moisture.objects.filter(lot__in=some, operation__reversed_by__isnull=True)
        for lot, pct in rows.order_by("operation__at", "operation__seq").values_list("lot_id", "wet_basis_pct"):
            found.setdefault(lot, Decimal(pct))
    return found


def _why(
    plot: Plot, lot: int, *, masses: Mapping[int, object], moisture: Decimal | None, mixed: set[int]
) -> str:  # fmt: skip
    if lot not in masses:
        return LEFT_OUT[0]
    if plot.area_m2 is None or plot.area_m2 <= 0:
        return LEFT_OUT[1]
    return LEFT_OUT[3] if lot in mixed else LEFT_OUT[2] if moisture is None else ""
