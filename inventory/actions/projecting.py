"""Keep the standing columns in step with what was just posted; `queries/verifying.py` proves that they are.

A lot's standing is what its newest identity that was not reversed says. Treatment and holds pass to every lot made
afterwards. Reversing an act takes back exactly what that act put here. The chain's head is locked meanwhile, so no
other act of the station comes between. Makings and reversals come by thousands when sheets are loaded and taken
back, so each kind is brought up to date together.
"""

from collections.abc import Iterable, Sequence
from itertools import groupby

from inventory.actions.drafts import Draft, LinkDraft
from inventory.actions.falling_back import stand_as, take_back
from inventory.models import ActiveHold, Identity, Link, Operation, Standing, Treatment
from inventory.queries.uses import in_parts
from inventory.rules.nodes import NodeKind, key_of, kind_of

Posted = tuple[Operation, Draft]


def project(posted: Sequence[Posted]) -> None:
    """Bring links, standings and holds up to date."""
    for kind, group in groupby(posted, key=lambda pair: _manner(pair[1])):
        acts = list(group)
        if kind == "making":
            _make(acts)
        elif kind == "reversal":
            take_back([draft.reverses for _operation, draft in acts if draft.reverses])
        else:
            for operation, draft in acts:
                _change(operation, draft)


def _manner(draft: Draft) -> str:
    if draft.reverses is not None:
        return "reversal"
    is_making = draft.kind != "reassign" and any(isinstance(row, Identity) for row in draft.rows)
    return "making" if is_making else "change"


def _make(acts: Sequence[Posted]) -> None:
    """Let new lots stand, with the treatment and the holds of what they were made from."""
    lay_links([(operation, link) for operation, draft in acts for link in draft.links])
    parents = {_child(link): set[int]() for _operation, draft in acts for link in draft.links}
    for link in (link for _operation, draft in acts for link in draft.links):
        if kind_of(link.parent) is NodeKind.LOT and not link.is_sowing:
            parents[_child(link)].add(key_of(link.parent))
    wanted = sorted({parent for some in parents.values() for parent in some})
    treated, holds = _treated(wanted), _holds(wanted)
    standings: list[Standing] = []
    taken_over: list[ActiveHold] = []
    for operation, identity in _identities(acts):
        lot_id, sources = identity.lot_id, parents.get(identity.lot_id, set())
        if any(source in treated for source in sources):
            treated.add(lot_id)
        holds[lot_id] = {hold for source in sources for hold in holds.get(source, ())}
        standings.append(_standing(operation, identity, inherits=lot_id in treated))
        taken_over += [ActiveHold(station_id=identity.station_id, lot_id=lot_id, hold_id=h) for h in holds[lot_id]]
    _save(standings)
    ActiveHold.objects.bulk_create(taken_over, batch_size=500)


def _child(link: LinkDraft) -> int:
    return key_of(link.child)


def _identities(acts: Sequence[Posted]) -> Iterable[tuple[Operation, Identity]]:
    return ((operation, row) for operation, draft in acts for row in draft.rows if isinstance(row, Identity))


def _treated(lot_ids: Sequence[int]) -> set[int]:
    rows = (Standing.objects.filter(lot_id__in=some, treated=True) for some in in_parts(lot_ids))
    return {row.lot_id for part in rows for row in part}


def _holds(lot_ids: Sequence[int]) -> dict[int, set[int]]:
    holds: dict[int, set[int]] = {}
    for some in in_parts(lot_ids):
        for lot_id, hold_id in ActiveHold.objects.filter(lot_id__in=some).values_list("lot_id", "hold_id"):
            holds.setdefault(lot_id, set()).add(hold_id)
    return holds


def _standing(operation: Operation, identity: Identity, *, inherits: bool) -> Standing:
    return Standing(
        lot_id=identity.lot_id,
        station_id=identity.station_id,
        made_by=operation,
        made_at=operation.at,
        line_id=identity.line_id,
        market_class_id=identity.market_class_id,
        opening_mg=identity.opening_mg,
        crop_year=identity.crop_year,
        generation=identity.generation,
        treated=inherits,
        inherits_treatment=inherits,
    )


def _save(standings: Sequence[Standing]) -> None:
    """Write standings; a number that was made before and taken back has its row already."""
    columns = [field.name for field in Standing._meta.concrete_fields if not field.primary_key]
    Standing.objects.bulk_create(
        standings, batch_size=500, update_conflicts=True, unique_fields=["lot"], update_fields=columns
    )


def lay_links(links: Iterable[tuple[Operation, LinkDraft]]) -> None:
    """Write links of lineage."""
    rows = [
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
        for operation, link in links
    ]
    Link.objects.bulk_create(rows, batch_size=500)


def _change(operation: Operation, draft: Draft) -> None:
    """An act that makes no lot: a reassignment, a treatment, a hold or its lifting, a sowing."""
    children = {link.child for link in draft.links if not link.is_sowing}
    Link.objects.filter(child__in=children, is_sowing=False).delete()
    lay_links([(operation, link) for link in draft.links])
    for row in draft.rows:
        if isinstance(row, Identity):
            stand_as(row)
        if isinstance(row, Treatment):
            Standing.objects.filter(lot_id=row.lot_id).update(treated=True)
    if draft.kind == "hold":
        station_id, lot_ids = operation.station_id, draft.facts["lot_ids"]
        ActiveHold.objects.bulk_create(ActiveHold(station_id=station_id, lot_id=lot, hold=operation) for lot in lot_ids)
    if draft.kind == "lift":
        ActiveHold.objects.filter(lot_id__in=draft.facts["lot_ids"], hold=draft.about).delete()
