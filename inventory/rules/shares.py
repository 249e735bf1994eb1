"""Shares of a make-up: which part of a lot's seed came from where, exact, through any number of blends.

A lineage is given as adjacency in the direction of the walk: node -> [(next node, weight)], where the weight of an
edge between a child and a parent is always the fraction of the child's seed that came from that parent. A link that
carries no seed (a sowing, a cross and its parents) has the weight None. Shares follow seed, never such a link: a node
reached only through one has the share None; a node reached both ways keeps the share of the seed itself.
"""

from collections import deque
from collections.abc import Hashable, Mapping, Sequence
from fractions import Fraction
from typing import TypeVar

Node = TypeVar("Node", bound=Hashable)
Edges = Mapping[Node, Sequence[tuple[Node, Fraction | None]]]


class LineageLoops(ValueError):  # noqa: N818 - it says what the lineage does
    """A lot would be its own ancestor; the books refuse this before it can be read."""


def portions(masses: Mapping[Node, int]) -> dict[Node, Fraction]:
    """Turn what went in into the fractions of what came out: all outputs of an operation have the same make-up.

    Args:
        masses: source -> what of it went in [mg], each above 0.

    Returns:
        Fractions that sum to 1.
    """
    if not masses or min(masses.values()) <= 0:
        raise ValueError("A make-up needs at least one source, each with a mass above 0.")
    total = sum(masses.values())
    return {source: Fraction(mass, total) for source, mass in masses.items()}


def plot_portions(field_masses: Mapping[Node, int | None]) -> tuple[dict[Node, Fraction], bool]:
    """Share a bag among its plots by their field weights if all are known, else equally.

    Args:
        field_masses: plot -> its field weight [mg], or None where it was not weighed.

    Returns:
        The fractions, and whether they are assumed.
    """
    known = {plot: mass for plot, mass in field_masses.items() if mass}
    if len(known) == len(field_masses):
        return portions(known), False
    return portions(dict.fromkeys(field_masses, 1)), True


def back_shares(ref: Node, parents: Edges[Node]) -> dict[Node, Fraction | None]:
    """Work out which fraction of REF's seed came from each ancestor.

    Args:
        ref: the node asked about.
        parents: node -> [(parent, fraction of the node's seed that came from it, or None)].

    Returns:
        Share of every node that can be reached, REF itself 1, in an order in which children come before parents.

    Raises:
        LineageLoops: the lineage is not acyclic.
    """
    return _carried(ref, parents)


def forward_shares(
    ref: Node, children: Edges[Node], opening_mg: Mapping[Node, Fraction | int]
) -> dict[Node, Fraction | None]:
    """Work out which part of REF's opening seed stood in each descendant when it was made.

    Args:
        ref: the node asked about.
        children: node -> [(child, fraction of the child's seed that came from the node, or None)].
        opening_mg: opening mass of the nodes [mg]; without REF's own, or a descendant's, its share is None.

    Returns:
        Back share of REF in the node × the node's opening mass ÷ REF's opening mass.
    """
    made_of_ref = _carried(ref, children)
    whole = opening_mg.get(ref)
    return {
        node: share * opening_mg[node] / whole if share is not None and whole and node in opening_mg else None
        for node, share in made_of_ref.items()
    }


def _carried(ref: Node, edges: Edges[Node]) -> dict[Node, Fraction | None]:
    """Pass shares along the edges, each node once, when all that flows into it is known: linear in the edges."""
    shares: dict[Node, Fraction | None] = {ref: Fraction(1)}
    for node in _in_order(ref, edges):
        share = shares[node]
        for following, weight in edges.get(node, ()):
            so_far = shares.setdefault(following, None)
            if share is not None and weight is not None:
                shares[following] = (so_far or Fraction(0)) + share * weight
    return shares


def _in_order(ref: Node, edges: Edges[Node]) -> list[Node]:
    """Order the nodes that can be reached so that every edge points onward (Kahn, Comm. ACM 5 (1962) 558-562)."""
    waiting_for = _incoming(ref, edges)
    ready, order = deque([ref] if not waiting_for[ref] else []), list[Node]()
    while ready:
        node = ready.popleft()
        order.append(node)
        for following, _ in edges.get(node, ()):
            waiting_for[following] -= 1
            if not waiting_for[following]:
                ready.append(following)
    if len(order) < len(waiting_for):
        raise LineageLoops("This lineage runs in a circle: a lot cannot be its own ancestor.")
    return order


def _incoming(ref: Node, edges: Edges[Node]) -> dict[Node, int]:
    """Count the edges that come into each node that can be reached."""
    counts, open_nodes = {ref: 0}, [ref]
    while open_nodes:
        for following, _ in edges.get(open_nodes.pop(), ()):
            if following not in counts:
                counts[following] = 0
                open_nodes.append(following)
            counts[following] += 1
    return counts


def share_text(share: Fraction | None) -> str | None:
    """Write an exact share as people and programs read it: "300/517"; None where there is none."""
    return None if share is None else f"{share.numerator}/{share.denominator}"
