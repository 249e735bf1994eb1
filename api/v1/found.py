"""A sheet that is kept aside, and all that is found in it, as programs are told."""

import re
from typing import Any
from uuid import UUID

from api.unusable import NotThere
from inventory.importing.checking import Progress, silent
from inventory.importing.findings import finding_of_sheet
from inventory.importing.keeping import looked_through
from inventory.importing.kinds import all_kinds
from inventory.models import SheetDraft, Station
from inventory.queries.sheet_drafts import find_sheet_draft, sheet_draft_of
from inventory.rules.mistakes import Mistake, Question
from inventory.rules.reading import listed


class KindAsked(Question):
    """What a sheet lists cannot be told from its headings."""

    code = "kind_asked"

    def __init__(self, station: str) -> None:
        super().__init__(f"Say what this sheet lists, as its kind: {listed(list(all_kinds(station)))}.", field="kind")


class SheetUnnamed(Mistake):
    """No sheet is kept aside under this name."""

    code = "not_there"

    def __init__(self) -> None:
        super().__init__(
            "No such sheet is kept aside here. Name it by its id or by the SHA-256 of its bytes, or send it again. "
            "/api/v1/sheets lists those that are."
        )


def found_json(draft: SheetDraft, progress: Progress = silent) -> dict[str, Any]:
    """Give what is found in a sheet as `sheet --json` prints it, with what the sheet is."""
    head = {"id": str(draft.uid), "sha256": draft.sha256, "file_name": draft.file_name, "kind": draft.kind}
    if not draft.kind:
        asks = finding_of_sheet(KindAsked(draft.station.code)).as_json()
        return {**head, "sheet": "", "rows": 0, "findings": [asks], "saved": 0, "load": None}
    return {**head, **looked_through(draft, progress).as_json()}


def sheet_named(station: Station, name: str) -> SheetDraft:
    """Find a sheet by its id or the hash of its bytes.

    Raises:
        NotThere: none of this station is kept aside under it.
    """
    try:
        if re.fullmatch("[0-9A-Fa-f]{64}", name):
            return sheet_draft_of(station, name)
        return find_sheet_draft(station, UUID(name))
    except (Mistake, ValueError):
        raise NotThere(SheetUnnamed()) from None
