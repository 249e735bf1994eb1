"""From a file to the table of its worksheet: gate first, then the reader behind its wall."""

from pathlib import Path

from inventory.importing import limits
from inventory.importing.child import read_workbook_apart
from inventory.importing.gate import FileForm, check_file, unpacked_bytes
from inventory.importing.separated import read_text_sheet
from inventory.importing.table import SheetTable


def read_sheet(content: bytes, name: str) -> SheetTable:
    """Read the first visible worksheet that holds anything.

    Args:
        content: all bytes of the file, which decide its form; the name does not.
        name: of the file, for a .csv's sheet name.

    Raises:
        Refused: it can't be used; each mistake is a `refusals.FileMistake`.
    """
    if check_file(content) is FileForm.XLSX:
        return read_workbook_apart(content, unpacked_bytes(content))
    return read_text_sheet(content, name)


def read_bytes(path: Path) -> bytes:
    """Take a file's bytes, at most one more than is allowed: enough for the gate to refuse it."""
    with path.open("rb") as file:
        return file.read(limits.MAX_FILE_BYTES + 1)
