"""What a backup says of itself, and what can be wrong with one."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from inventory.rules.mistakes import Mistake

FORMAT, VERSION = "hilum backup", 1
_NAMED_AT_MOST = 3


@dataclass(frozen=True)
class TableCopy:
    """One table in a backup: how many rows, and the SHA-256 of their text."""

    name: str
    columns: tuple[str, ...]
    rows: int
    sha256: str


@dataclass(frozen=True)
class BookState:
    """How a station's books stood when the backup was made: a restored copy must stand the same."""

    station: str
    operations: int
    entries: int
    head: str
    chain: str
    differences: int


@dataclass(frozen=True)
class Manifest:
    """What stands in a backup."""

    made_at: str
    migrations: tuple[str, ...]
    tables: tuple[TableCopy, ...]
    books: tuple[BookState, ...]

    def as_document(self) -> dict[str, Any]:
        """Write it as a JSON object."""
        return {"format": FORMAT, "version": VERSION, **asdict(self)}

    @property
    def rows(self) -> int:
        """The rows of all tables."""
        return sum(table.rows for table in self.tables)


def read_manifest(document: Any, file: str) -> Manifest:
    """Read what a backup says of itself.

    Raises:
        Mistake: it is no backup of ours, of a later version, or its words were changed.
    """
    if not isinstance(document, Mapping) or document.get("format") != FORMAT:
        raise NotABackup(file)
    if document.get("version") != VERSION:
        raise OtherVersion(file)
    try:
        return Manifest(
            str(document["made_at"]),
            tuple(map(str, document["migrations"])),
            tuple(_table(table) for table in document["tables"]),
            tuple(BookState(**books) for books in document["books"]),
        )
    except (KeyError, TypeError, ValueError) as error:
        raise Damaged(file, "its list of contents") from error


def _table(said: Mapping[str, Any]) -> TableCopy:
    return TableCopy(str(said["name"]), tuple(map(str, said["columns"])), int(said["rows"]), str(said["sha256"]))


class NotABackup(Mistake):
    """The file is something else, or not there."""

    code = "not_a_backup"

    def __init__(self, file: str) -> None:
        super().__init__(
            f"{file} is not a backup of Hilum, or only a part of one. Name a file that manage.py backup or "
            "manage.py package wrote.",
            field="file",
        )


class NoSuchFile(Mistake):
    """The file cannot be opened."""

    code = "no_such_file"

    def __init__(self, file: str, why: str) -> None:
        super().__init__(f"{file} cannot be opened ({why}). Check its name and who may read it.", field="file")


class OtherVersion(Mistake):
    """The backup is of a later version than this one reads."""

    code = "other_version"

    def __init__(self, file: str) -> None:
        super().__init__(f"{file} was written by a later version of Hilum. Install that version and restore with it.")


class Damaged(Mistake):
    """The backup's bytes are not those that were written."""

    code = "damaged"

    def __init__(self, file: str, where: str) -> None:
        says = f"{file} is damaged: {where} cannot be read as it was written. Use another copy."
        super().__init__(says, field="file")


class OtherTables(Mistake):
    """The database has other tables than those that the backup was taken from."""

    code = "other_tables"

    def __init__(self, file: str, theirs: Sequence[str], ours: Sequence[str]) -> None:
        said = [f"{' and '.join(names)} only in {where}" for names, where in (
            (self._some(theirs, ours), "the backup"), (self._some(ours, theirs), "this database"),
        ) if names]  # fmt: skip
        super().__init__(
            f"{file} fits another version of the tables ({'; '.join(said)}). Restore it with the version of Hilum that "
            "wrote it, then bring it up to date with manage.py migrate."
        )

    @staticmethod
    def _some(names: Sequence[str], others: Sequence[str]) -> list[str]:
        return sorted(set(names) - set(others))[:_NAMED_AT_MOST]


class HoldsBooks(Mistake):
    """The database holds acts, which a restore would wipe out."""

    code = "holds_books"

    def __init__(self, acts: int) -> None:
        super().__init__(
            f"This database holds {acts:,} acts already and a restore would replace everything in it. Restore into an "
            "empty database, or back this one up and say --replace."
        )


class NotTheSame(Mistake):
    """The restored books do not stand as they stood when the backup was made."""

    code = "not_the_same"

    def __init__(self, file: str, station: str) -> None:
        super().__init__(
            f"The books of {station} restored from {file} are not those that were backed up. Nothing was changed here; "
            "use another backup."
        )


class InUse(Mistake):
    """Others are writing meanwhile."""

    code = "in_use"

    def __init__(self) -> None:
        super().__init__("The database is in use, so that nothing was restored. Stop the server and try again.")


class WouldOverwrite(Mistake):
    """The backup would be written over a file that is none."""

    code = "would_overwrite"

    def __init__(self, file: str, kind: str) -> None:
        super().__init__(f"{file} is there already and is not a {kind}. Choose another name.", field="file")


class CannotWrite(Mistake):
    """The backup cannot be written there."""

    code = "cannot_write"

    def __init__(self, file: str, why: str) -> None:
        super().__init__(f"{file} cannot be written ({why}). Choose another place.", field="file")
