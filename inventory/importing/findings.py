"""What was found in a sheet, cell by cell, for the person who keeps it."""

from dataclasses import dataclass

from inventory.importing.table import Cell
from inventory.rules.mistakes import Level, Mistake


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing to know or to decide.

    Args:
        row: the number the spreadsheet shows; None for the whole sheet.
        column: the heading as typed; "" for the whole row.
        cell: as the spreadsheet names it, "F8"; "" for the whole row.
        value: what stands there, as text.
        level: how much it stands in the way.
        says: a full sentence.
        proposal: what we would read instead; None where we have none.
        readings: where it can be read in several ways, each of them.
        may_keep: whether it may stay as typed, with a reason.
    """

    row: int | None
    column: str
    cell: str
    value: str
    level: Level
    says: str
    proposal: str | None = None
    readings: tuple[str, ...] = ()
    may_keep: bool = False

    @property
    def is_open(self) -> bool:
        """Say whether nothing can be saved while this stands."""
        return self.level is not Level.NOTE

    def as_json(self) -> dict[str, int | str | None]:
        """Give the finding as `sheet --json` prints it."""
        return {
            "row": self.row,
            "column": self.column,
            "cell": self.cell,
            "value": self.value,
            "level": self.level.value,
            "says": self.says,
            "proposal": self.proposal,
        }


def finding_at(row: int, heading: str, cell: Cell, mistake: Mistake) -> Finding:
    """Put a mistake at the cell it belongs to."""
    return Finding(row, heading, cell.ref, cell.text, mistake.level, mistake.says, mistake.proposal)


def finding_of_row(row: int, mistake: Mistake, value: str = "") -> Finding:
    """Put a mistake at a whole row."""
    return Finding(row, "", "", value, mistake.level, mistake.says, mistake.proposal)


def finding_of_sheet(mistake: Mistake) -> Finding:
    """Put a mistake at the whole sheet."""
    return Finding(None, "", "", "", mistake.level, mistake.says, mistake.proposal)
