"""What an operation writes, as the canonical text that its hash covers."""

from typing import Any

from inventory.actions.drafts import Draft
from inventory.models import Operation
from inventory.models.contents import lot_columns, operation_columns, row_columns
from inventory.rules.chain import VERSION


def content_of(operation: Operation, draft: Draft) -> dict[str, Any]:
    """Gather every column that posting this draft writes."""
    return {
        "v": VERSION,
        **operation_columns(operation),
        "facts": draft.facts,
        "entries": [entry.as_content() for entry in draft.entries],
        "links": [link.as_content() for link in draft.links],
        "lots": lot_columns(draft.rows),
        "rows": [[row._meta.label, row_columns(row)] for row in draft.rows],
    }
