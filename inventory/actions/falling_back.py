"""What falls back when acts are reversed: lots that are no longer made, lots that are what they were before."""

import json
from collections.abc import Iterable, Sequence

from inventory.models import ActiveHold, Identity, Link, Operation, Plot, Standing, Treatment
from inventory.queries.uses import in_parts, plots_entered
from inventory.rules.nodes import NodeKind, node

_NOTHING = {
    "made_by": None,
    "made_at": None,
    "line": None,
    "market_class": None,
    "opening_mg": 0,
    "crop_year": None,
    "generation": None,
    "treated": False,
    "inherits_treatment": False,
}


def take_back(operations: Sequence[Operation]) -> None:
    """Take back what these acts, whose reversals are written already, put into the standing columns."""
    keys = [operation.pk for operation in operations]
    for plots in in_parts([plot.pk for plot in plots_entered(operations).values()]):
        Plot.objects.filter(pk__in=plots).update(taken_back=True)
    for some in in_parts(keys):
        Link.objects.filter(operation_id__in=some).delete()
        ActiveHold.objects.filter(hold_id__in=some).delete()
        lots = list(Identity.objects.filter(operation_id__in=some).values_list("lot_id", flat=True))
        before = _identities_that_hold(lots)
        _unmake([lot_id for lot_id in lots if lot_id not in before])
        for identity in before.values():
            _stand_as_before(identity)
        _untreat(Treatment.objects.filter(operation_id__in=some).values_list("lot_id", flat=True))


def _identities_that_hold(lot_ids: Sequence[int]) -> dict[int, Identity]:
    """The newest identity of each lot that was not reversed."""
    rows = Identity.objects.filter(lot_id__in=lot_ids, operation__reversed_by__isnull=True)
    return {row.lot_id: row for row in rows.select_related("operation").order_by("operation__seq")}


def _unmake(lot_ids: Sequence[int]) -> None:
    ActiveHold.objects.filter(lot_id__in=lot_ids).delete()
    Standing.objects.filter(lot_id__in=lot_ids).update(**_NOTHING)


def stand_as(identity: Identity) -> None:
    """Let a lot that is made stand as another identity; its making, treatment and holds stay."""
    Standing.objects.filter(lot_id=identity.lot_id).update(
        line_id=identity.line_id,
        market_class_id=identity.market_class_id,
        opening_mg=identity.opening_mg,
        crop_year=identity.crop_year,
        generation=identity.generation,
    )


def _stand_as_before(identity: Identity) -> None:
    """Let a lot be what it was before it was reassigned, with the sources it had."""
    stand_as(identity)
    child = node(NodeKind.LOT, identity.lot_id)
    if not Link.objects.filter(child=child, is_sowing=False).exists():
        Link.objects.bulk_create(links_before(identity.lot_id))


def links_before(lot_id: int, without: Sequence[int] = ()) -> Sequence[Link]:
    """Give the newest links into a lot that stand in the text of an act that was not reversed.

    Args:
        lot_id: a lot that is made.
        without: acts that are to be taken back, so that their links count no more.
    """
    child = node(NodeKind.LOT, lot_id)
    identities = Identity.objects.filter(lot_id=lot_id, operation__reversed_by__isnull=True)
    for identity in (
        identities.exclude(operation_id__in=without).select_related("operation").order_by("-operation__seq")
    ):
        links = [
            Link(station_id=identity.station_id, operation=identity.operation, parent=parent, child=into,
                 weight=weight, total=total, is_sowing=is_sowing, is_assumed=is_assumed)
            for parent, into, weight, total, is_sowing, is_assumed in json.loads(identity.operation.content)["links"]
            if into == child and not is_sowing
        ]  # fmt: skip
        if links:
            return links
    if without:
        return ()  # its making is among them
    raise AssertionError("a lot that is made has sources")


def _untreat(lot_ids: Iterable[int]) -> None:
    for lot_id in set(lot_ids):
        others = Treatment.objects.filter(lot_id=lot_id, operation__reversed_by__isnull=True)
        if not others.exists():
            Standing.objects.filter(lot_id=lot_id, inherits_treatment=False).update(treated=False)
