"""The lineage before and after each kind of thing that a person can ask about."""

from fractions import Fraction

from inventory.queries.anything import Thing, ThingKind
from inventory.queries.descending import step_down, step_up
from inventory.queries.leaving import empty_bag, fill_bag, load_shipment, ship_lots
from inventory.queries.lineage import ALL, Key, Lineage, Step, node_for, walk_on, weigh_harvests
from inventory.queries.walking import MOST_NODES

NOTHING = Fraction(0)


def lineage_back(thing: Thing, *, most: int = MOST_NODES) -> Lineage:
    """Gather what a thing came from, up to the crosses and their parents."""
    lineage = Lineage(_key(thing))
    walk_on(lineage, _nodes_back(lineage, thing), forward=False, most=most)
    weigh_harvests(lineage)
    _weigh_group(lineage, thing)
    for member in _members(thing):
        part = lineage.masses.get(member)
        lineage.add(Step(member, lineage.ref, part / lineage.masses[lineage.ref] if part else None, part))
    step_up(lineage)
    return lineage


def lineage_forward(thing: Thing, *, most: int = MOST_NODES) -> Lineage:
    """Gather what came of a thing, down to the shipments."""
    lineage = Lineage(_key(thing))
    for member in _members(thing):
        lineage.add(Step(lineage.ref, member, ALL))
    walk_on(lineage, _nodes_forward(lineage, thing), forward=True, most=most)
    ship_lots(lineage)
    weigh_harvests(lineage)
    _weigh_group(lineage, thing)
    return lineage


def _members(thing: Thing) -> list[Key]:
    """A season is its plots, a sender of several deliveries these; all else stands for itself."""
    if thing.kind is ThingKind.SEASON:
        return [("plot", row) for row in thing.keys]
    if thing.kind is ThingKind.SENDER and len(thing.keys) > 1:
        return [("sender", row) for row in thing.keys]
    return []


def _key(thing: Thing) -> Key:
    by_name = thing.kind in (ThingKind.BAG, ThingKind.SHIPMENT) or _members(thing)
    return thing.kind.value, thing.id if by_name else thing.keys[0]


def _nodes_back(lineage: Lineage, thing: Thing) -> list[int]:
    if thing.kind is ThingKind.SHIPMENT:
        return load_shipment(lineage, thing.keys)
    if thing.kind is ThingKind.BAG:
        fill_bag(lineage, thing.keys[0], thing.bag_no)
        return [node_for("lot", thing.keys[0])]
    return _own_nodes(thing)


def _nodes_forward(lineage: Lineage, thing: Thing) -> list[int]:
    if thing.kind is ThingKind.BAG:
        fill_bag(lineage, thing.keys[0], thing.bag_no, is_step=False)
        return empty_bag(lineage, thing.keys[0], thing.bag_no)
    if thing.kind in (ThingKind.LINE, ThingKind.CROSS):
        return sorted(step_down(lineage))
    return _own_nodes(thing)


def _own_nodes(thing: Thing) -> list[int]:
    """Nodes of the graph that a thing is itself; a line and a shipment stand beside the graph."""
    if thing.kind in (ThingKind.LINE, ThingKind.SHIPMENT):
        return []
    kind = _members(thing)[0][0] if _members(thing) else thing.kind.value
    return [node_for(kind, row) for row in thing.keys]


def _weigh_group(lineage: Lineage, thing: Thing) -> None:
    if members := _members(thing):
        lineage.masses[lineage.ref] = sum((lineage.masses.get(member, NOTHING) for member in members), NOTHING)
