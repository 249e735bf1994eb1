"""What a plugin may rely on: see README.md in this folder."""

import pluggy

from hilum.plugins.facts import (
    ActOffer,
    ActSheetKind,
    Difference,
    Found,
    PageLink,
    Panel,
    SheetColumn,
    SheetFinding,
    SheetKind,
    SheetRow,
    Waiting,
)

hookimpl = pluggy.HookimplMarker("hilum")

__all__ = [
    "ActOffer",
    "ActSheetKind",
    "Difference",
    "Found",
    "PageLink",
    "Panel",
    "SheetColumn",
    "SheetFinding",
    "SheetKind",
    "SheetRow",
    "Waiting",
    "hookimpl",
]
