"""What a plugin may rely on: see README.md in this folder."""

import pluggy

from hilum.plugins.facts import (
    ActOffer,
    ActSheetKind,
    Curve,
    Difference,
    Found,
    Judged,
    LookAt,
    LotQuestion,
    PageLink,
    Panel,
    Replicates,
    SheetColumn,
    SheetFinding,
    SheetKind,
    SheetRow,
    Swatch,
    Use,
    Waiting,
)

hookimpl = pluggy.HookimplMarker("hilum")

__all__ = [
    "ActOffer",
    "ActSheetKind",
    "Curve",
    "Difference",
    "Found",
    "Judged",
    "LookAt",
    "LotQuestion",
    "PageLink",
    "Panel",
    "Replicates",
    "SheetColumn",
    "SheetFinding",
    "SheetKind",
    "SheetRow",
    "Swatch",
    "Use",
    "Waiting",
    "hookimpl",
]
