"""Which plugins are switched on: a small file beside the data, read by the settings before any app is loaded.

A file and not a table, because the settings must know it before there is a database to ask.
"""

import json
import os
import tempfile
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, replace
from pathlib import Path
from typing import Any

FILE = "plugins.json"


@dataclass(frozen=True)
class Switched:
    """A plugin that was switched on."""

    slug: str
    package: str  # the package that brought it then; another one of the same slug does not take its place
    off_at: tuple[str, ...] = ()  # codes of stations at which it is switched off


@dataclass(frozen=True)
class Board:
    """What the file holds.

    Args:
        on: in the order in which they are asked.
        stamp: what the last check stood on; as long as it is the same, nothing is checked again.
        left_out: what that check found: slug -> half a sentence.
    """

    on: tuple[Switched, ...] = ()
    stamp: str = ""
    left_out: Mapping[str, str] = field(default_factory=dict)

    def of(self, slug: str) -> Switched | None:
        """Give the switch of a plugin; None where it is off."""
        return next((one for one in self.on if one.slug == slug), None)

    def with_on(self, one: Switched) -> "Board":
        """Give the board with a plugin on; it is checked at the next start."""
        if self.of(one.slug) is None:
            return replace(self, on=(*self.on, one), stamp="")
        return replace(self, on=tuple(one if old.slug == one.slug else old for old in self.on), stamp="")

    def without(self, slug: str) -> "Board":
        """Give the board with a plugin off."""
        return replace(self, on=tuple(one for one in self.on if one.slug != slug), stamp="")


def read_board(folder: Path) -> Board:
    """Read the board of a data folder; where there is none, or one that cannot be read, nothing is on.

    A file that somebody broke must not keep the site from starting; `unread` says so.
    """
    try:
        return _board(json.loads((folder / FILE).read_text(encoding="utf-8")))
    except (OSError, ValueError, TypeError, KeyError, AttributeError):
        return Board()


def unread(folder: Path) -> str:
    """Say what is wrong with a board that is there and cannot be read; "" for nothing."""
    file = folder / FILE
    if not file.exists():
        return ""
    try:
        _board(json.loads(file.read_text(encoding="utf-8")))
    except (OSError, ValueError, TypeError, KeyError, AttributeError) as error:
        return f"{file} cannot be read ({error}), so that no plugin is on. Put it right, or delete it."
    return ""


def write_board(folder: Path, board: Board) -> None:
    """Write the board; whoever reads it meanwhile finds the old one or the new one whole."""
    folder.mkdir(parents=True, exist_ok=True)
    text = json.dumps(
        {"on": [asdict(one) for one in board.on], "stamp": board.stamp, "left_out": dict(board.left_out)}, indent=1
    )
    handle, name = tempfile.mkstemp(dir=folder, prefix=f".{FILE}-")
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as draft:
            draft.write(f"{text}\n")
        Path(name).replace(folder / FILE)
    finally:
        Path(name).unlink(missing_ok=True)


def _board(read: Any) -> Board:
    on = tuple(Switched(str(one["slug"]), str(one["package"]), tuple(map(str, one["off_at"]))) for one in read["on"])
    left_out = {str(slug): str(why) for slug, why in read["left_out"].items()}
    return Board(on, str(read["stamp"]), left_out)
