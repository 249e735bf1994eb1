"""Write the intake sheet of 2024 as somebody kept it: `python -m fixtures_demo.dirty_sheet`.

It is for a practice copy and no part of the season: titles and a total among the rows, a merged line, dates as text
and as a number, decimal commas, letters in numbers, one row in pounds, one moisture as a fraction and one on dry basis.
"""

from datetime import date
from pathlib import Path
from typing import Any

from openpyxl import Workbook
from openpyxl.styles import Alignment, Font

from fixtures_demo.tables import HERE

NAME = "intake_2024_as_kept"
PATH = HERE / "workbooks" / f"{NAME}.xlsx"
HEADINGS = ("Date", "Lot", "Line", "Plot", "Gross", "Tare", "Net", "Moist", "Bin", "Remarks")
HEADING_ROW, LAST_ROW = 4, 19
OCTOBER_1, OCTOBER_2 = date(2024, 10, 1), date(2024, 10, 2)

# By row of the sheet; None is an empty cell.
ROWS: dict[int, tuple[Any, ...]] = {
    5: (date(2024, 9, 24), "24-0001", "QN-2104", "QM24-I1", 842, 42, 800, 16.2, "F-1"),
    6: ("24 Sept 24", "24-OOO2 ", "QN-2109", "QM24-I2", 682, 42, 640, 15.8, "F-1"),
    7: (date(2024, 9, 26), "24-0003", "QB-2103", "QM24-I3", 1680, 92.6, 1587.4, 16.5, "F-1"),
    8: (date(2024, 9, 26), "24-0004", "QB-2108", "QM24-I4", 602, 42, 560, 0.160, "F-1"),
    9: (date(2024, 9, 30), "24-0005", "QP-2202", "QM24-I5", 942, 42, 900, 21.1, "F-1"),
    10: (OCTOBER_1, "24-0006", "QN-2104", "T101/T206/T304", "12,52", "0,10", "12,42", 15.1, "C-1"),
    11: (OCTOBER_1, "24-0007", None, "T104/T202/T308", 11.72, 0.10, 11.62, 15.0, "C-2"),
    12: (OCTOBER_1, "24-0006", "QN-2104", "T101/T206/T304", "12,52", "0,10", "12,42", 15.1, "C-1"),
    13: (OCTOBER_1, "24-0008", "QN-2117", "QM24-T107 QM24-T204 QM24-T301", 10.93, 0.10, 10.83, 15.4, "C-3"),
    14: (OCTOBER_1, "24-0009", "QB-2103", "QM24-T102 QM24-T208 QM24-T306", 13.05, 0.10, 12.59, 15.3, "C-4"),
    15: (OCTOBER_2, "24-0010", "QB 2108", "QM24-T1O5 QM24-T207 QM24-T303", 11.98, 0.10, 11.88, 15.2, "C-5"),
    16: ("10/02/24", "24-0011", "QB-2112", "QM24-T108 QM24-T201 QM24-T305", 11.27, 0.10, 11.17, 15.6, "C-6"),
    17: (45567, "24-0012", "QP-2202", "QM24-T103 QM24-T205 QM24-T302", 13.99, 0.10, 13.89, 15.9, "C-7"),
    18: ("TOTAL", None, None, None, None, None, "=SUM(G5:G17)", None, None),
    19: (OCTOBER_2, "24-0013", "QP-22O6", "QM24-T106 QM24-T203 QM24-T307", 12.95, 0.10, 12.85, 15.7, "C-8"),
}  # fmt: skip


def dirty_book() -> Workbook:
    """Build the workbook."""
    book = Workbook()
    sheet = book.active
    sheet.title = NAME
    sheet["A1"], sheet["A2"] = "Intake 2024", "kept by the intake shed"
    for row in (1, 2):
        sheet.merge_cells(start_row=row, end_row=row, start_column=1, end_column=len(HEADINGS))
        sheet.cell(row, 1).font = Font(bold=True)
        sheet.cell(row, 1).alignment = Alignment(horizontal="center")
    for column, heading in enumerate(HEADINGS, start=1):
        sheet.cell(HEADING_ROW, column, heading)
    for row, values in ROWS.items():
        for column, value in enumerate(values, start=1):
            sheet.cell(row, column, value)
    sheet.merge_cells("C10:C11")
    return book


def main(path: Path = PATH) -> None:
    """Write it."""
    dirty_book().save(path)


if __name__ == "__main__":
    main()
