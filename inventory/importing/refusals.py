"""Why a file can't be read as a sheet: one class a reason, each says what to do next.

The reader runs in a process of its own and sends back only a code and what it found; the class words the sentence,
so the same sentence stands whichever side of the wall found it.
"""

from typing import ClassVar

from inventory.importing.limits import (
    MAX_CELL_TEXT,
    MAX_CELLS,
    MAX_COLUMNS,
    MAX_FILE_BYTES,
    MAX_PARTS,
    MAX_ROWS,
    MAX_UNPACKED_BYTES,
)
from inventory.rules.mistakes import Mistake

MB = 1024 * 1024
SAVE_ANEW = "Open it in a spreadsheet program, copy the cells into a new workbook, and save that as .xlsx."


class FileMistake(Mistake):
    """A reason why a whole file can't be read.

    Args:
        told: what the sentence names, in the order of its places (names of sheets and cells, numbers).
    """

    code: ClassVar[str] = "file"
    words: ClassVar[str] = "This file can't be read."

    def __init__(self, *told: str | int) -> None:
        super().__init__(self.words.format(*told))
        self.told = told


class EmptyFile(FileMistake):
    """A file without a byte."""

    code = "empty_file"
    words = "The file is empty. Save the sheet again and send the new file."


class NothingInSheet(FileMistake):
    """A workbook that holds nothing."""

    code = "nothing_in_sheet"
    words = "No visible worksheet of this file holds anything. Check that it is the right file."


class FileTooLarge(FileMistake):
    """A file that is larger than what is taken."""

    code = "file_too_large"
    words = (
        f"The file has {{0}} MB; a sheet may have {MAX_FILE_BYTES // MB} MB. "
        "Take pictures out of it, or split it into several sheets."
    )


class UnpacksTooLarge(FileMistake):
    """A workbook that unpacks to far more than a sheet."""

    code = "unpacks_too_large"
    words = (
        "Unpacked, this workbook is far larger than a sheet of weighings can be "
        f"(over {MAX_UNPACKED_BYTES // MB} MB, or mostly repeated filling). " + SAVE_ANEW
    )


class TooManyParts(FileMistake):
    """A workbook of more parts than are read."""

    code = "too_many_parts"
    words = f"The workbook is made of {{0}} parts; at most {MAX_PARTS} are read. " + SAVE_ANEW


class PathInPart(FileMistake):
    """A workbook with a part that points outside it."""

    code = "path_in_part"
    words = "The workbook holds a part named '{0}', which points outside the workbook. " + SAVE_ANEW


class PartTwice(FileMistake):
    """A workbook with one part twice."""

    code = "part_twice"
    words = "The workbook holds the part '{0}' twice, so it is not clear which one counts. " + SAVE_ANEW


class Encrypted(FileMistake):
    """A workbook behind a password."""

    code = "encrypted"
    words = "The workbook is protected by a password. Open it, save it without a password, and send that file."


class OldWorkbook(FileMistake):
    """A workbook in the old .xls form."""

    code = "old_workbook"
    words = "This is a workbook in the old .xls form. Open it and save it as .xlsx."


class OtherWorkbook(FileMistake):
    """A workbook in a form that is not read."""

    code = "other_workbook"
    words = "This is a workbook in the {0} form. Open it and save it as .xlsx."


class HoldsMacros(FileMistake):
    """A workbook that holds programs."""

    code = "holds_macros"
    words = "The workbook holds macros (programs). Save it as .xlsx, which leaves them out, and send that file."


class NotASheet(FileMistake):
    """A file that is no sheet."""

    code = "not_a_sheet"
    words = "This is not a sheet but {0}. Send a workbook saved as .xlsx, or a .csv file."


class Damaged(FileMistake):
    """A workbook that cannot be opened."""

    code = "damaged"
    words = "The workbook is damaged and can't be opened. " + SAVE_ANEW


class HoldsDeclarations(FileMistake):
    """A workbook that brings declarations of its own."""

    code = "holds_declarations"
    words = "The part '{0}' of the workbook brings its own declarations (a DTD), which no sheet needs. " + SAVE_ANEW


class OtherEncoding(FileMistake):
    """A workbook in another encoding than UTF-8."""

    code = "other_encoding"
    words = "The part '{0}' of the workbook is written in {1}; sheets are written in UTF-8. " + SAVE_ANEW


class FarCell(FileMistake):
    """Something in a cell far outside any list."""

    code = "far_cell"
    words = (
        "Worksheet '{0}' has something in cell {1}, far outside any list; "
        f"at most {MAX_ROWS:,} rows and {MAX_COLUMNS} columns are read. Delete what stands there and save again."
    )


class TooManyRows(FileMistake):
    """More rows than are read."""

    code = "too_many_rows"
    words = f"Worksheet '{{0}}' has more than {MAX_ROWS:,} rows. Split it into several files."


class TooManyCells(FileMistake):
    """More cells than are read."""

    code = "too_many_cells"
    words = f"Worksheet '{{0}}' has more than {MAX_CELLS:,} cells. Split it into several files."


class CellTooLong(FileMistake):
    """More letters in a cell than any list needs."""

    code = "cell_too_long"
    words = f"A cell holds more than {MAX_CELL_TEXT:,} characters, which no list needs. Shorten it and save again."


class ReaderGaveUp(FileMistake):
    """A workbook that took too long or too much to read."""

    code = "reader_gave_up"
    words = "This workbook could not be read within the time and memory a sheet needs. " + SAVE_ANEW


class NotText(FileMistake):
    """A file whose bytes are no text."""

    code = "not_text"
    words = "The file holds bytes that are not text, so it is neither a workbook nor a .csv. Save it again as .xlsx."


class QuotesOpen(FileMistake):
    """A quotation mark that is never closed."""

    code = "quotes_open"
    words = "The text after a quotation mark in line {0} never ends or is too long. Close the quotation mark there."


ALL: tuple[type[FileMistake], ...] = (
    EmptyFile,
    NothingInSheet,
    FileTooLarge,
    UnpacksTooLarge,
    TooManyParts,
    PathInPart,
    PartTwice,
    Encrypted,
    OldWorkbook,
    OtherWorkbook,
    HoldsMacros,
    NotASheet,
    Damaged,
    HoldsDeclarations,
    OtherEncoding,
    FarCell,
    TooManyRows,
    TooManyCells,
    CellTooLong,
    ReaderGaveUp,
    NotText,
    QuotesOpen,
)


def refusal(code: str, told: list[str | int]) -> FileMistake:
    """Make the mistake that the reader's process named; one it can't name is `ReaderGaveUp`."""
    known = {kind.code: kind for kind in ALL}
    try:
        return known[code](*told)
    except (KeyError, IndexError):
        return ReaderGaveUp()
