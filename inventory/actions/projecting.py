"""Keep the standing columns in step with what was just posted; `queries/verifying.py` proves that they are.

A lot's standing is what its newest identity that was not reversed says. Treatment and holds pass to every lot made
afterwards. Reversing an act takes back exactly what that act put here. The chain's head is locked meanwhile, so no
other act of the station comes between.
"""

import json
from collections.abc import Iterable, Sequence

from inventory.actions.drafts import Draft, LinkDraft
from inventory.models import ActiveHold, Identity, Link, Operation, Standing, Treatment
from inventory.rules.nodes import NodeKind, key_of, kind_of, node

Posted = tuple[Operation, Draft]


def project(posted: Sequence[Posted]) -> None:
    """Bring links, standings and holds up to date."""
    for operation, draft in posted:
        if draft.reverses is not None:
            _take_back(draft.reverses)
        _lay_links(operation, draft.links)
        for row in draft.rows:
            if isinstance(row, Identity):
                _stand(row, operation)
            if isinstance(row, Treatment):
                Standing.objects.filter(lot_id=row.lot_id).update(treated=True)
        _hold_or_lift(operation, draft)


def _lay_links(operation: Operation, links: Sequence[LinkDraft]) -> None:
    """Lay the links; those into a lot that had some before (a reassignment) replace them."""
    children = {link.child for link in links if not link.is_sowing}
    if children:
        Link.objects.filter(child__in=children, is_sowing=False).delete()
    Link.objects.bulk_create(
        Link(
            station_id=operation.station_id,
            operation=operation,
            parent=link.parent,
            child=link.child,
            weight=link.weight,
            total=link.total,
            is_sowing=link.is_sowing,
            is_assumed=link.is_assumed,
        )
        for link in links
    )


def _stand(identity: Identity, operation: Operation) -> None:
    """Let a lot stand as its identity says; one that was made before keeps its making, treatment and holds."""
    says = {
        "line_id": identity.line_id,
        "market_class_id": identity.market_class_id,
        "opening_mg": identity.opening_mg,
        "crop_year": identity.crop_year,
        "generation": identity.generation,
    }
    if Standing.objects.filter(lot_id=identity.lot_id, made_by__isnull=False).update(**says):
        return
    parents = _parent_lots(identity.lot_id)
    inherits = bool(parents) and Standing.objects.filter(lot_id__in=parents, treated=True).exists()
    Standing.objects.update_or_create(
        lot_id=identity.lot_id,
        defaults={
            **says,
            "station_id": identity.station_id,
            "made_by": operation,
            "made_at": operation.at,
            "treated": inherits,
            "inherits_treatment": inherits,
        },
    )
    _inherit_holds(identity, parents)


def _inherit_holds(identity: Identity, parents: Sequence[int]) -> None:
    if parents:
        holds = ActiveHold.objects.filter(lot_id__in=parents).values_list("hold_id", flat=True).distinct()
        ActiveHold.objects.bulk_create(
            ActiveHold(lot_id=identity.lot_id, hold_id=hold_id, station_id=identity.station_id) for hold_id in holds
        )


def _parent_lots(lot_id: int) -> list[int]:
    parents = Link.objects.filter(child=node(NodeKind.LOT, lot_id), is_sowing=False).values_list("parent", flat=True)
    return [key_of(parent) for parent in parents if kind_of(parent) is NodeKind.LOT]


def _hold_or_lift(operation: Operation, draft: Draft) -> None:
    if draft.kind == "hold":
        ActiveHold.objects.bulk_create(
            ActiveHold(station_id=operation.station_id, lot_id=lot_id, hold=operation)
            for lot_id in draft.facts["lot_ids"]
        )
    if draft.kind == "lift":
        ActiveHold.objects.filter(lot_id__in=draft.facts["lot_ids"], hold=draft.about).delete()


def _take_back(reversed_act: Operation) -> None:
    Link.objects.filter(operation=reversed_act).delete()
    ActiveHold.objects.filter(hold=reversed_act).delete()
    for identity in reversed_act.identities.all():
        _fall_back(identity.lot_id)
    for treatment in reversed_act.treatments.all():
        others = Treatment.objects.filter(lot_id=treatment.lot_id, operation__reversed_by__isnull=True)
        if not others.exists():
            lot = Standing.objects.filter(lot_id=treatment.lot_id)
            lot.filter(inherits_treatment=False).update(treated=False)


def _fall_back(lot_id: int) -> None:
    """Let a lot stand as its newest identity that is not reversed says, or as not made at all."""
    before = (
        Identity.objects.filter(lot_id=lot_id, operation__reversed_by__isnull=True)
        .select_related("operation")
        .order_by("operation__seq")
        .last()
    )
    if before is None:
        _unmake(lot_id)
        return
    _stand(before, before.operation)
    child = node(NodeKind.LOT, lot_id)
    if not Link.objects.filter(child=child, is_sowing=False).exists():
        _lay_links(*_links_before(lot_id, child))


def _links_before(lot_id: int, child: int) -> tuple[Operation, list[LinkDraft]]:
    """The newest links into a lot that stand in the text of an act that was not reversed."""
    identities = Identity.objects.filter(lot_id=lot_id, operation__reversed_by__isnull=True)
    for identity in identities.select_related("operation").order_by("-operation__seq"):
        texts: Iterable[list[int]] = json.loads(identity.operation.content)["links"]
        links = [link for text in texts if (link := LinkDraft(*text)).child == child and not link.is_sowing]  # type: ignore[arg-type]
        if links:
            return identity.operation, links
    raise AssertionError("a lot that is made has sources")


def _unmake(lot_id: int) -> None:
    ActiveHold.objects.filter(lot_id=lot_id).delete()
    Standing.objects.filter(lot_id=lot_id).update(
        made_by=None,
        made_at=None,
        line=None,
        market_class=None,
        opening_mg=0,
        crop_year=None,
        generation=None,
        treated=False,
        inherits_treatment=False,
    )
