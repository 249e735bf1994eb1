"""One streaming pass over a worksheet for what the value reader does not tell, and for what would hurt it.

A single cell at the far corner of a worksheet makes a table of 17 thousand million cells: it is seen here, before
anything builds a table. Elements and attributes are those of ECMA-376-1, 18.3.1.
"""

import re
import zipfile
from dataclasses import dataclass, field
from xml.parsers import expat

from inventory.importing import limits
from inventory.importing.markup import feed, local, new_parser
from inventory.importing.parts import chunks, refused_part
from inventory.importing.refusals import FarCell, TooManyCells, TooManyRows
from inventory.importing.table import column_letter, column_number
from inventory.rules.mistakes import Refused

Place = tuple[int, int]  # row and column, both from 1
REFERENCE = re.compile(r"\$?([A-Z]{1,3})\$?([0-9]{1,7})\Z")
MAX_ELEMENTS = 4_000_000
MAX_TABLE = 2_000_000  # cells of the rectangle that holds all filled cells
MAX_FORMULA_TEXT = 200


@dataclass(slots=True)
class Facts:
    """What the pass found in one worksheet."""

    formulas: dict[Place, str] = field(default_factory=dict)
    errors: dict[Place, str] = field(default_factory=dict)
    formats: dict[Place, str] = field(default_factory=dict)
    merged: list[tuple[Place, Place]] = field(default_factory=list)
    hidden_rows: set[int] = field(default_factory=set)
    hidden_columns: list[tuple[int, int]] = field(default_factory=list)
    filled_cells: int = 0
    filled_rows: int = 0
    last_row: int = 0
    last_column: int = 0


def scan_worksheet(archive: zipfile.ZipFile, part: str, name: str, unit_formats: dict[int, str]) -> Facts:
    """Read the facts of a worksheet.

    Args:
        archive: the workbook.
        part: where the worksheet lies in it.
        name: as people know it.
        unit_formats: style index -> format code, for formats that show a unit.

    Raises:
        Refused: something in it is too far, too much, or not a worksheet.
    """
    scan = _Scan(name, unit_formats)
    try:
        feed(scan.parser, chunks(archive, part))
    except ValueError as error:
        raise refused_part(part, error) from error
    return scan.facts


class _Scan:
    """The state of the pass: where it stands and what the open cell holds."""

    def __init__(self, name: str, unit_formats: dict[int, str]) -> None:
        self.name = name
        self.unit_formats = unit_formats
        self.facts = Facts()
        self.place: Place = (0, 0)
        self.last_filled_row = 0
        self.elements = 0
        self.in_cell = False
        self.is_error = False
        self.taking: str | None = None
        self.formula: list[str] = []
        self.value: list[str] = []
        self.has_formula = False
        self.style = -1
        self.parser: expat.XMLParserType = new_parser(self.start)
        self.parser.EndElementHandler = self.end
        self.parser.CharacterDataHandler = self.text

    def start(self, name: str, attributes: dict[str, str]) -> None:
        self.elements += 1
        if self.elements > MAX_ELEMENTS:
            raise Refused([TooManyCells(self.name)])
        if name == "c":
            self._start_cell(attributes)
        elif self.in_cell:
            self._start_inside_cell(name)
        elif name == "row":
            self._start_row(attributes)
        elif name == "mergeCell":
            self._merge(attributes.get("ref", ""))
        elif name == "col" and attributes.get("hidden") in ("1", "true"):
            self.facts.hidden_columns.append((_whole(attributes.get("min"), 1), _whole(attributes.get("max"), 1)))

    def _start_row(self, attributes: dict[str, str]) -> None:
        row = _whole(attributes.get("r"), self.place[0] + 1)
        self.place = (row, 0)
        if attributes.get("hidden") in ("1", "true"):
            self.facts.hidden_rows.add(row)

    def _start_cell(self, attributes: dict[str, str]) -> None:
        self.place = _place(attributes.get("r", "")) or (max(self.place[0], 1), self.place[1] + 1)
        self.in_cell = True
        self.is_error = attributes.get("t") == "e"
        self.style = _whole(attributes.get("s"), -1)
        self.has_formula = False
        self.formula, self.value = [], []

    def _start_inside_cell(self, name: str) -> None:
        if name == "f":
            self.has_formula = True
            self.taking = "f"
        elif name in ("v", "t"):
            self.taking = "v"

    def text(self, text: str) -> None:
        if self.taking == "f":
            self.formula.append(text[:MAX_FORMULA_TEXT])
        elif self.taking == "v":
            self.value.append(text[:MAX_FORMULA_TEXT])

    def end(self, name: str) -> None:
        name = local(name)
        if name == "c":
            self.in_cell = False
            if self.has_formula or self.value:
                self._fill()
        elif name in ("f", "v", "t"):
            self.taking = None

    def _fill(self) -> None:
        row, column = self.place
        facts = self.facts
        facts.filled_cells += 1
        if row != self.last_filled_row:
            facts.filled_rows += 1
            self.last_filled_row = row
        facts.last_row = max(facts.last_row, row)
        facts.last_column = max(facts.last_column, column)
        self._check_limits(row, column)
        if self.has_formula:
            facts.formulas[self.place] = "".join(self.formula)[:MAX_FORMULA_TEXT]
        if self.is_error:
            facts.errors[self.place] = "".join(self.value)[:20]
        if self.style in self.unit_formats:
            facts.formats[self.place] = self.unit_formats[self.style]

    def _check_limits(self, row: int, column: int) -> None:
        facts = self.facts
        if row > limits.MAX_ROWS and facts.filled_rows > limits.MAX_ROWS // 2:
            raise Refused([TooManyRows(self.name)])
        if row > limits.MAX_ROWS or column > limits.MAX_COLUMNS:
            raise Refused([FarCell(self.name, f"{column_letter(column)}{row}")])
        if facts.filled_cells > limits.MAX_CELLS or facts.last_row * facts.last_column > MAX_TABLE:
            raise Refused([TooManyCells(self.name)])

    def _merge(self, ref: str) -> None:
        first, _, last = ref.partition(":")
        start, end = _place(first), _place(last)
        if start and end:
            self.facts.merged.append((start, end))


def _place(ref: str) -> Place | None:
    found = REFERENCE.match(ref.upper())
    return (int(found[2]), column_number(found[1])) if found else None


def _whole(text: str | None, otherwise: int) -> int:
    return int(text) if text and text.isascii() and text.isdigit() and len(text) < 9 else otherwise
