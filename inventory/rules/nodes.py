"""Numbers for the nodes of the lineage graph: one whole number says kind and key, so a walk needs one column."""

from enum import IntEnum

_KINDS = 8


class NodeKind(IntEnum):
    """What a node of the lineage graph is."""

    LOT = 0
    PLOT = 1
    PLANT = 2
    CROSS = 3
    SENDER = 4


def node(kind: NodeKind, key: int) -> int:
    """Number a node: its key times eight plus its kind."""
    return key * _KINDS + kind


def kind_of(number: int) -> NodeKind:
    """Say what kind of node a number stands for."""
    return NodeKind(number % _KINDS)


def key_of(number: int) -> int:
    """Say which row of that kind a node number stands for."""
    return number // _KINDS
