"""Where lots and bags went: shipments, and the acts that used a numbered bag, as steps of a lineage."""

from collections.abc import Collection
from fractions import Fraction
from typing import Any

from django.db.models import Q, QuerySet, Sum

from inventory.models import Entry, Link
from inventory.queries.lineage import ALL, Key, Lineage, Step, key_for
from inventory.rules.nodes import NodeKind, node


def _standing() -> QuerySet[Entry]:
    """Entries of seed whose act was not taken back and takes nothing back."""
    return Entry.objects.filter(
        lot__isnull=False, operation__reversed_by__isnull=True, operation__reverses__isnull=True
    )


def _shipped(wanted: Q) -> QuerySet[Any]:
    leaving = _standing().filter(wanted, mg__lt=0, operation__shipment__isnull=False)
    return leaving.order_by("operation_id", "lot_id")


def ship_lots(lineage: Lineage) -> None:
    """Step from every lot that was met to the shipments it left with (2 queries)."""
    rows = _shipped(Q(lot__in=lineage.rows("lot"))).values("operation", "operation__shipment__code", "lot")
    gone = [(row, -row["mg__sum"]) for row in rows.annotate(Sum("mg"))]
    _step_to_shipments(lineage, [(("lot", row["lot"]), row, mg) for row, mg in gone])


def load_shipment(lineage: Lineage, operations: Collection[int]) -> list[int]:
    """Step back from a shipment to the lots that left with it, and name them (2 queries)."""
    rows = _shipped(Q(operation__in=operations)).values("operation", "operation__shipment__code", "lot")
    gone = [(row, -row["mg__sum"]) for row in rows.annotate(Sum("mg"))]
    _step_to_shipments(lineage, [(("lot", row["lot"]), row, mg) for row, mg in gone])
    return [node(NodeKind.LOT, row["lot"]) for row, _mg in gone]


def _step_to_shipments(lineage: Lineage, gone: list[tuple[Key, dict[str, Any], int]]) -> None:
    codes = {row["operation__shipment__code"] for _source, row, _mg in gone}
    operations = [row["operation"] for _source, row, _mg in gone]
    wholes = _wholes(codes, operations)
    for source, row, mg in gone:
        code = row["operation__shipment__code"]
        target = ("shipment", code)
        lineage.masses[target] = Fraction(wholes[code])
        lineage.add(Step(source, target, Fraction(mg, wholes[code]), Fraction(mg), row["operation"]))


def _wholes(codes: Collection[str], operations: Collection[int]) -> dict[str, int]:
    """What left under each code in all [mg]; a code may cover several acts of one station."""
    if not codes:
        return {}
    station = Entry.objects.filter(operation__in=operations).values("station")[:1]
    rows = _shipped(Q(operation__shipment__code__in=codes, station=station)).order_by()
    sums = rows.values_list("operation__shipment__code").annotate(Sum("mg"))
    return {code: -mg for code, mg in sums}


def fill_bag(lineage: Lineage, lot: int, bag_no: int, *, is_step: bool = True) -> None:
    """Weigh the bag that is asked about as it was filled, and step to it from its lot (1 query)."""
    filled = _standing().filter(lot=lot, bag_no=bag_no, mg__gt=0, operation__kind="bag")
    for entry in filled.order_by("operation__seq"):
        mg = Fraction(entry.mg)
        lineage.masses[lineage.ref] = lineage.masses.get(lineage.ref, Fraction(0)) + mg
        if is_step:
            lineage.add(Step(("lot", lot), lineage.ref, ALL, mg, entry.operation_id))


def empty_bag(lineage: Lineage, lot: int, bag_no: int) -> list[int]:
    """Step from a bag to the shipments, lots and plots that its seed went to, and name where to walk on (4 queries)."""
    taken = _standing().filter(lot=lot, bag_no=bag_no).order_by()
    rows = taken.values("operation", "operation__shipment__code").annotate(Sum("mg"))
    gone = {row["operation"]: (row, -row["mg__sum"]) for row in rows if row["mg__sum"] < 0}
    shipped = [(lineage.ref, dict(row), mg) for row, mg in gone.values() if row["operation__shipment__code"]]
    _step_to_shipments(lineage, shipped)
    return _step_to_children(lineage, lot, {operation: mg for operation, (_row, mg) in gone.items()})


def _step_to_children(lineage: Lineage, lot: int, gone: dict[int, int]) -> list[int]:
    """Share what an act took of the lot between this bag and the rest of the lot [mg]."""
    taken = _standing().filter(lot=lot, operation__in=gone).order_by()
    of_lot = {operation: -mg for operation, mg in taken.values_list("operation").annotate(Sum("mg"))}
    links = Link.objects.filter(parent=node(NodeKind.LOT, lot), operation__in=gone)
    for link in links:
        mg = Fraction(gone[link.operation_id])
        share = Fraction(link.weight, link.total) * mg / of_lot[link.operation_id]
        lineage.add(Step(lineage.ref, key_for(link.child), None if link.is_sowing else share, mg, link.operation_id))
    return [link.child for link in links]
