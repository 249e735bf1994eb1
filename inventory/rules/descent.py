"""Who comes from whom: one walk that keeps pedigrees and sowings free of circles."""

from collections.abc import Callable, Iterable
from typing import TypeVar

Node = TypeVar("Node")


def reaches(start: Iterable[Node], wanted: Node, step: Callable[[list[Node]], Iterable[Node]]) -> bool:
    """Say whether a walk comes to a node; each node is stepped from once, a whole generation at a time.

    Args:
        start: where the walk begins; a start that is the wanted node counts.
        wanted: the node looked for.
        step: the nodes one step on from some nodes, in one go, so that a walk costs one look-up a generation.
    """
    seen: set[Node] = set()
    waiting = list(dict.fromkeys(start))
    while waiting:
        if wanted in waiting:
            return True
        seen.update(waiting)
        waiting = [node for node in dict.fromkeys(step(waiting)) if node not in seen]
    return False
