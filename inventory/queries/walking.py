"""Walk the lineage graph in one query, from nodes to all they came from or to all that came of them.

The walk is a recursive `UNION`, which meets each node once. `UNION ALL` with a depth would walk every path instead: at
twenty seasons of two-by-two blending these are a million paths over forty lots.
"""

from collections.abc import Collection
from dataclasses import dataclass
from typing import NamedTuple

from django.db import connection

MOST_NODES = 5_000


class Reached(NamedTuple):
    """A node that was reached, with one of its links onward in the direction of the walk, and what a lot's row says.

    A node without a link onward has `other` None; one with several has a row for each.
    """

    node: int
    other: int | None
    weight: int
    total: int
    is_sowing: bool
    is_assumed: bool
    operation: int
    number: str | None
    opening_mg: int | None
    made_at: object  # PostgreSQL gives a moment, SQLite its text
    line: int | None


@dataclass(frozen=True)
class Walk:
    """What a walk reached; the nodes that were asked about come first."""

    rows: list[Reached]
    is_truncated: bool


def walk(nodes: Collection[int], *, forward: bool = False, most: int = MOST_NODES) -> Walk:
    """Walk from nodes to everything before or after them, over seed and over sowings alike (1 query).

    Args:
        nodes: numbers of `rules/nodes.py`.
        forward: to what came of them, else to what they came from.
        most: nodes after which the walk stops; the nearest are kept.
    """
    if not nodes:
        return Walk([], is_truncated=False)
    with connection.cursor() as cursor:
        cursor.execute(walk_sql(len(nodes), forward=forward), [*nodes, most])
        rows = list(map(Reached._make, cursor.fetchall()))
    return Walk(rows, is_truncated=len(rows) >= most and (len(nodes) > most or _leads_on(rows)))


def _leads_on(rows: list[Reached]) -> bool:
    """Say whether a link goes to a node that the walk did not come to."""
    there = {row.node for row in rows}
    return any(row.other is not None and row.other not in there for row in rows)


def walk_sql(seeds: int, *, forward: bool) -> str:
    """Write the walk; the same text serves both engines.

    PostgreSQL types a bare parameter as integer and then refuses the union, hence the cast.
    """
    here, onward = ("parent", "child") if forward else ("child", "parent")
    seed_rows = ", ".join(["(CAST(%s AS bigint))"] * seeds)
    return f"""
        WITH RECURSIVE reached(node) AS (
            VALUES {seed_rows}
            UNION
            SELECT link.{onward} FROM reached JOIN inventory_link AS link ON link.{here} = reached.node
        ), kept(node) AS (SELECT node FROM reached LIMIT %s)
        SELECT kept.node, link.{onward}, link.weight, link.total, link.is_sowing, link.is_assumed, link.operation_id,
               lot.number, standing.opening_mg, standing.made_at, standing.line_id
        FROM kept
        LEFT JOIN inventory_link AS link ON link.{here} = kept.node
        LEFT JOIN inventory_standing AS standing ON kept.node %% 8 = 0 AND standing.lot_id = kept.node / 8
        LEFT JOIN inventory_lot AS lot ON lot.id = standing.lot_id
    """
