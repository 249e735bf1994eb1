"""What an act wants to write, before the ledger has seen it."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.contrib.auth.models import User
from django.db.models import Model

from inventory.models import Load, Operation, Station
from inventory.rules.nodes import NodeKind, node


@dataclass(frozen=True)
class EntryDraft:
    """One signed mass [mg]: of a lot (or bag) at a place, or of an account outside the store."""

    mg: int
    lot_id: int | None = None
    place_id: int | None = None
    bag_no: int = 0
    account: str = ""
    stream: str = ""

    def as_content(self) -> list[int | str | None]:
        """Write it for the canonical text."""
        return [self.lot_id, self.place_id, self.bag_no, self.account, self.stream, self.mg]


def seed(lot_id: int, place_id: int, mg: int, bag_no: int = 0) -> EntryDraft:
    """Seed of a lot that comes to a place (+) or leaves it (−)."""
    return EntryDraft(mg=mg, lot_id=lot_id, place_id=place_id, bag_no=bag_no)


def outside(account: str, mg: int, stream: str = "") -> EntryDraft:
    """Mass that goes to an account outside the store (+) or comes from it (−)."""
    return EntryDraft(mg=mg, account=account, stream=stream)


@dataclass(frozen=True)
class LinkDraft:
    """One step of lineage; weight / total is the share of the child that came from this parent."""

    parent: int
    child: int
    weight: int
    total: int
    is_sowing: bool = False
    is_assumed: bool = False

    def as_content(self) -> list[int | bool]:
        """Write it for the canonical text."""
        return [self.parent, self.child, self.weight, self.total, self.is_sowing, self.is_assumed]


def links_to_lot(
    child_id: int, sources: Sequence[tuple[NodeKind, int, int]], *, is_assumed: bool = False
) -> list[LinkDraft]:
    """Link a new lot to its sources.

    Args:
        child_id: key of the lot that was made.
        sources: kind, key and weight [mg, or 1 each where weights are assumed] of each source.
        is_assumed: the weights were not known.
    """
    total = sum(weight for _kind, _key, weight in sources)
    child = node(NodeKind.LOT, child_id)
    return [LinkDraft(node(kind, key), child, weight, total, is_assumed=is_assumed) for kind, key, weight in sources]


@dataclass
class Draft:
    """One operation to be posted: who, when, why, its masses, its lineage and the rows that go with it."""

    kind: str
    station: Station
    by: User
    at: datetime
    reason: str = ""
    key: str = ""
    facts: dict[str, Any] = field(default_factory=dict)
    entries: Sequence[EntryDraft] = ()
    links: Sequence[LinkDraft] = ()
    rows: Sequence[Model] = ()
    about: Operation | None = None
    reverses: Operation | None = None
    load: Load | None = None
