"""The shape of every answer: metadata with pagination and status, and the result without a null in it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet

from api.brapi.asked import Asked
from api.brapi.told import without_empty

Rows = QuerySet[Any] | Sequence[Any]


@dataclass(frozen=True)
class Page:
    """One page of a list, and how many rows there are in all."""

    data: Sequence[Any]
    total: int


def page_of(rows: Rows, asked: Asked) -> tuple[list[Any], int]:
    """Cut one page out of rows that stand in a stable order, and count them all (2 queries).

    Args:
        rows: a list in its order, or a query set; to the order of one the key is added, so that no row is told twice.
    """
    start, end = asked.page * asked.size, (asked.page + 1) * asked.size
    if not isinstance(rows, QuerySet):
        return list(rows[start:end]), len(rows)
    total = rows.count()
    ordered = rows.order_by(*rows.query.order_by, "pk")
    return list(ordered[start:end]) if start < total else [], total


def envelope(result: Page | Mapping[str, Any], asked: Asked) -> dict[str, Any]:
    """Put an answer into its envelope; where there are no pages the key pagination is left out, as its schema wants."""
    metadata: dict[str, Any] = {
        "datafiles": [],
        "status": [{"message": message, "messageType": "WARNING"} for message in asked.warnings],
    }
    if not isinstance(result, Page):
        return {"metadata": metadata, "result": without_empty(result)}
    metadata["pagination"] = {
        "currentPage": asked.page,
        "pageSize": asked.size,
        "totalCount": result.total,
        "totalPages": -(-result.total // asked.size),
    }
    return {"metadata": metadata, "result": {"data": without_empty(result.data)}}
