"""What stands on an act: the later acts that used what it made."""

from django.db.models import Q, QuerySet

from inventory.models import Operation
from inventory.rules.nodes import NodeKind, node


def uses_of(operation: Operation) -> QuerySet[Operation]:
    """Later acts, not reversed, that used what this act put into store.

    For an act that made lots: every act that moved their seed or made something of them. For any other act: every
    act that took from the bags that it filled. Measurements that took no seed are no use.
    """
    later = Operation.objects.filter(
        station=operation.station, seq__gt=operation.seq, reversed_by__isnull=True, reverses__isnull=True
    )
    made = list(operation.identities.values_list("lot_id", flat=True))
    if operation.kind == "reassign":
        return later.none()
    if made:
        nodes = [node(NodeKind.LOT, lot_id) for lot_id in made]
        return later.filter(Q(entries__lot_id__in=made) | Q(links__parent__in=nodes)).distinct().order_by("seq")
    filled = operation.entries.filter(bag_no__gt=0, mg__gt=0).values_list("lot_id", "bag_no")
    touched = Q(pk__in=[])
    for lot_id, bag_no in filled:
        touched |= Q(entries__lot_id=lot_id, entries__bag_no=bag_no)
    return later.filter(touched).distinct().order_by("seq")


def name_act(operation: Operation) -> str:
    """Name an act as people do: its kind, its day and its own number where it has one."""
    run = getattr(operation, "run", None)
    shipment = getattr(operation, "shipment", None)
    own = run.number if run else shipment.code if shipment else f"#{operation.seq}"
    return f"{operation.kind} {own} of {operation.at:%Y-%m-%d}"
