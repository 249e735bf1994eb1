"""Trace a thing back to its plots, lines and crosses, or forward to every shipment, with exact shares."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Any

from inventory.models import Station
from inventory.queries.anything import Thing, ThingKind, find_anything
from inventory.queries.describing import Described, describe, name_acts
from inventory.queries.lineage import Key, Lineage, Step
from inventory.queries.starting import lineage_back, lineage_forward
from inventory.queries.walking import MOST_NODES
from inventory.rules.mass import kg_text
from inventory.rules.mistakes import Note
from inventory.rules.rounding import half_up_int
from inventory.rules.shares import back_shares, forward_shares

Shares = Mapping[Key, Fraction | None]
_UNWEIGHED = (ThingKind.LINE, ThingKind.CROSS)


@dataclass(frozen=True)
class TraceNode:
    """A lot, bag, plot, plant, line, cross, sender, season or shipment.

    Args:
        id: as people type it; label: with what they want to read beside it.
        day: when it was made, sown or shipped.
        mg: what it held when it was made: opening mass, harvest, what was shipped [mg].
        share: back, the fraction of the asked thing's seed that came from here; forward, the part of the asked
            thing's opening mass that stood here when this was made; None where no seed links them.
        is_assumed: the share stands on equal parts that nobody measured.
    """

    kind: str
    id: str
    label: str
    day: date | None
    mg: int | None
    share: Fraction | None
    is_assumed: bool = False

    def as_json(self) -> dict[str, Any]:
        """Write it with exact numbers as text."""
        day = self.day.isoformat() if self.day else None
        said = {"kind": self.kind, "id": self.id, "label": self.label, "date": day}
        marked = {"assumed": True} if self.is_assumed else {}
        return {**said, "kg": _kg(self.mg), "share": _share(self.share), **marked}


@dataclass(frozen=True)
class TraceEdge:
    """A step from a source to what came of it; share is the fraction of the latter's seed that came from the former."""

    source: str
    target: str
    operation: str
    mg: int | None
    share: Fraction | None
    is_assumed: bool = False

    def as_json(self) -> dict[str, Any]:
        """Write it with exact numbers as text."""
        said = {"from": self.source, "to": self.target, "operation": self.operation}
        marked = {"assumed": True} if self.is_assumed else {}
        return {**said, "kg": _kg(self.mg), "share": _share(self.share), **marked}


@dataclass(frozen=True)
class Trace:
    """All that a thing came from or that came of it, the asked thing first, and nearer nodes before farther ones."""

    ref: str
    nodes: tuple[TraceNode, ...]
    edges: tuple[TraceEdge, ...]
    truncated: bool = False
    notes: tuple[Note, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """Write it as commands, API and pages give it."""
        nodes, edges = ([item.as_json() for item in items] for items in (self.nodes, self.edges))
        return {"ref": self.ref, "nodes": nodes, "edges": edges, "truncated": self.truncated}


def trace(
    station: Station, ref: str, *, forward: bool = False, most: int = MOST_NODES, thing: Thing | None = None
) -> Trace:  # fmt: skip
    """Trace a thing; the walk is one query, and each kind of node on the way costs one more to be named.

    Args:
        ref: lot, bag (24-0016-5/14), plot, plant, line, cross, shipment, season or sender, as forgivingly as it reads.
        forward: to what came of it, else to what it came from.
        thing: what `ref` stands for, where it was found already.
        most: nodes of seed after which the walk stops; shares are then left out, since what is beyond may add to them.

    Raises:
        Mistake: nothing is called so, with what was probably meant.
    """
    thing = thing or find_anything(station, ref)
    lineage = lineage_forward(thing, most=most) if forward else lineage_back(thing, most=most)
    shares = _shares(lineage, forward=forward, is_weighed=not (forward and thing.kind in _UNWEIGHED))
    described = describe(station, lineage)
    return Trace(
        ref=described[lineage.ref].id,
        nodes=tuple(_nodes(lineage, shares, described)),
        edges=tuple(_edges(lineage, shares, described)),
        truncated=lineage.is_truncated,
        notes=thing.notes,
    )


def shares_of(lineage: Lineage, *, forward: bool) -> dict[Key, Fraction | None]:
    """Work out the share of every node, in an order in which nearer nodes come before farther ones."""
    edges: dict[Key, list[tuple[Key, Fraction | None]]] = {}
    for step in lineage.steps.values():
        here, onward = (step.source, step.target) if forward else (step.target, step.source)
        edges.setdefault(here, []).append((onward, step.share))
    if forward:
        return forward_shares(lineage.ref, edges, lineage.masses)
    return back_shares(lineage.ref, edges)


def _shares(lineage: Lineage, *, forward: bool, is_weighed: bool) -> Shares:
    shares = shares_of(lineage, forward=forward)
    if not is_weighed:
        return dict.fromkeys(shares)
    if lineage.is_truncated:
        return {key: share if key == lineage.ref else None for key, share in shares.items()}
    return shares


def _nodes(lineage: Lineage, shares: Shares, described: Mapping[Key, Described]) -> list[TraceNode]:
    assumed = {step.source for step in lineage.steps.values() if step.is_assumed}
    nodes = []
    for key, share in shares.items():
        words, mg, is_assumed = described[key], lineage.masses.get(key), key in assumed and share is not None
        label = f"{words.label}, share assumed equal" if is_assumed else words.label
        nodes.append(TraceNode(key[0], words.id, label, words.day, _mg(mg), share, is_assumed))
    return nodes


def _edges(lineage: Lineage, shares: Shares, described: Mapping[Key, Described]) -> list[TraceEdge]:
    names = name_acts(lineage)
    return [
        TraceEdge(
            source=described[step.source].id,
            target=described[step.target].id,
            operation=names[step.operation],
            mg=_mg(_flowed(lineage, step)),
            share=step.share,
            is_assumed=step.is_assumed,
        )
        for step in lineage.steps.values()
        if step.source in shares and step.target in shares
    ]


def _flowed(lineage: Lineage, step: Step) -> Fraction | None:
    """What went in [mg]: weighed, else the source's part of what came out; descent alone moves no seed."""
    if step.mg is not None or not step.operation or step.share is None:
        return step.mg
    whole = lineage.masses.get(step.target)
    return None if whole is None else step.share * whole


def _mg(mass: Fraction | None) -> int | None:
    return None if mass is None else half_up_int(mass)


def _kg(mg: int | None) -> str | None:
    return None if mg is None else kg_text(mg)


def _share(share: Fraction | None) -> str | None:
    return None if share is None else f"{share.numerator}/{share.denominator}"
