"""An empty sheet to fill in: headings with their units, lists to choose from, help beside them."""

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import IO, Any

import openpyxl
from openpyxl.comments import Comment
from openpyxl.styles import Alignment, Font
from openpyxl.worksheet.datavalidation import DataValidation

from inventory.importing.export import safe_cell, safe_row, workbook_text
from inventory.importing.fields import HELP_SHEET, Field, Reads, Vocabulary
from inventory.importing.limits import MAX_ROWS
from inventory.importing.table import column_letter

READS_AS = {
    Reads.CODE: "a code",
    Reads.DATE: "a date",
    Reads.TEXT: "text",
    Reads.NUMBER: "a number",
    Reads.COUNT: "a whole number",
    Reads.MASS: "a weight",
    Reads.MASS_OR_SHARE: "a weight",
    Reads.MOISTURE: "a per cent",
    Reads.AREA: "an area",
}
FIRST_ROW = 2


def write_template(
    vocabulary: Vocabulary, file: Path | IO[bytes], lists: Mapping[str, Sequence[str]] | None = None
) -> None:
    """Write the template of a kind of sheet.

    Args:
        vocabulary: of the kind.
        file: where to write the .xlsx.
        lists: field name -> what may be chosen there (lines, classes, places); other values stay allowed. A name that
            a workbook cannot hold letter by letter is left out: chosen, it would name nothing.
    """
    book = openpyxl.Workbook()
    _write_headings(book.active, vocabulary)
    _write_help(book.create_sheet(HELP_SHEET), vocabulary)
    _write_lists(book, vocabulary, {name: _holdable(choices) for name, choices in (lists or {}).items()})
    book.save(file)


def _write_headings(sheet: Any, vocabulary: Vocabulary) -> None:
    sheet.title = vocabulary.title[:1].upper() + vocabulary.title[1:31]
    for number, field in enumerate(vocabulary.fields, start=1):
        cell = sheet.cell(1, number, field.heading)
        cell.font = Font(bold=True)
        cell.alignment = Alignment(wrap_text=True, vertical="top")
        if field.says:
            cell.comment = Comment(f"{field.says} {_example(field)}".strip(), "Hilum")
        column = sheet.column_dimensions[column_letter(number)]
        column.width = max(12, len(field.heading) + 2)
        if field.reads is Reads.DATE:
            column.number_format = "yyyy-mm-dd"
        if field.reads is Reads.CODE:
            column.number_format = "@"  # else 24-0001 may be taken for a month
    sheet.freeze_panes = "A2"


def _example(field: Field) -> str:
    return f"Example: {field.example}." if field.example else ""


def _write_help(sheet: Any, vocabulary: Vocabulary) -> None:
    sheet.append(["Column", "What stands there", "Needed", "Example", "Also read under"])
    for field in vocabulary.fields:
        needed = "yes" if field.needed else _one_of(field, vocabulary)
        also = ", ".join(heading for heading in dict.fromkeys(field.headings) if heading != field.title)
        what = f"{READS_AS[field.reads]}. {field.says}".strip()
        sheet.append(safe_row([field.heading, what[:1].upper() + what[1:], needed, field.example, also]))
    for letter, width in zip("ABCDE", (24, 60, 16, 18, 80), strict=True):
        sheet.column_dimensions[letter].width = width
    for cell in sheet[1]:
        cell.font = Font(bold=True)


def _one_of(field: Field, vocabulary: Vocabulary) -> str:
    for names in vocabulary.one_of:
        if field.name in names:
            return " or ".join(vocabulary.field(name).title for name in names)
    return "no"


def _holdable(choices: Sequence[str]) -> list[str]:
    return [choice for choice in choices if workbook_text(choice) == choice]


def _write_lists(book: openpyxl.Workbook, vocabulary: Vocabulary, lists: Mapping[str, Sequence[str]]) -> None:
    """Keep the choices on a hidden worksheet: a list written into the rule itself may have 255 characters."""
    chosen = [(number, f.name) for number, f in enumerate(vocabulary.fields, start=1) if lists.get(f.name)]
    if not chosen:
        return
    sheet = book.create_sheet("Lists")
    sheet.sheet_state = "hidden"
    for place, (number, name) in enumerate(chosen, start=1):
        for row, choice in enumerate(lists[name], start=1):
            sheet.cell(row, place, safe_cell(choice))
        letter = column_letter(place)
        rule = DataValidation("list", formula1=f"Lists!${letter}$1:${letter}${len(lists[name])}", allow_blank=True)
        rule.errorStyle = "warning"
        rule.error = "This is not in the list. Check it, or go on if it is right."
        rule.showErrorMessage = True
        book.worksheets[0].add_data_validation(rule)
        rule.add(f"{column_letter(number)}{FIRST_ROW}:{column_letter(number)}{MAX_ROWS}")
