"""The parts of a workbook: which worksheets it has, where they lie, how its number formats read (ECMA-376-1, 18)."""

import posixpath
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, field

from inventory.importing.markup import DeclaredError, OtherCodingError, Started, feed, local, new_parser
from inventory.importing.refusals import Damaged, HoldsDeclarations, OtherEncoding
from inventory.rules.mistakes import Refused

CHUNK = 64 * 1024
PERCENT_FORMATS = {9: "0%", 10: "0.00%"}  # ECMA-376-1, 18.8.30: the built-in formats we read a unit from


class PrologRead(Exception):  # noqa: N818 - not a fault: the root element began, nothing can be declared any more
    """Stop reading a part whose content we don't need."""


@dataclass(frozen=True, slots=True)
class Worksheet:
    """A worksheet as the workbook lists it: its name, its part, whether people see it."""

    name: str
    part: str
    is_visible: bool


@dataclass(slots=True)
class Workbook:
    """What the reader needs to know before it opens a worksheet."""

    worksheets: list[Worksheet] = field(default_factory=list)
    first_1904: bool = False
    unit_formats: dict[int, str] = field(default_factory=dict)


def chunks(archive: zipfile.ZipFile, name: str) -> Iterator[bytes]:
    """Unpack a part piece by piece."""
    with archive.open(name) as part:
        while chunk := part.read(CHUNK):
            yield chunk


def read_part(archive: zipfile.ZipFile, name: str, start: Started) -> None:
    """Call `start` for each element of a part.

    Raises:
        Refused: it brings declarations, another coding, or is not well formed.
    """
    try:
        feed(new_parser(start), chunks(archive, name))
    except ValueError as error:
        raise refused_part(name, error) from error


def refused_part(name: str, error: ValueError) -> Refused:
    """Word why a part can't be read."""
    if isinstance(error, DeclaredError):
        return Refused([HoldsDeclarations(name[:80])])
    if isinstance(error, OtherCodingError):
        return Refused([OtherEncoding(name[:80], str(error))])
    return Refused([Damaged()])


def check_prologs(archive: zipfile.ZipFile) -> None:
    """Refuse a workbook any of whose XML parts brings a DTD or another coding than UTF-8."""
    for name in archive.namelist():
        if name.lower().endswith((".xml", ".rels", ".vml")):
            _check_prolog(archive, name)


def _check_prolog(archive: zipfile.ZipFile, name: str) -> None:
    try:
        feed(new_parser(_stop), chunks(archive, name))
    except PrologRead:
        return
    except (DeclaredError, OtherCodingError) as error:
        raise refused_part(name, error) from error
    except ValueError:
        return  # parts that we need are read whole later, and then it matters


def _stop(_name: str, _attributes: dict[str, str]) -> None:
    raise PrologRead


def read_workbook(archive: zipfile.ZipFile) -> Workbook:
    """Read the list of worksheets and the formats that carry a unit; raises as `read_part`."""
    main = _main_part(archive)
    folder = posixpath.dirname(main)
    related = _related(archive, main)
    book = Workbook()

    def started(name: str, attributes: dict[str, str]) -> None:
        if name == "workbookPr":
            book.first_1904 = attributes.get("date1904", "0") in ("1", "true")
        if name == "sheet":
            kind, target = related.get(_relation_id(attributes), ("", ""))
            if kind == "worksheet":
                visible = attributes.get("state", "visible") == "visible"
                book.worksheets.append(Worksheet(attributes.get("name", ""), _inside(folder, target), visible))

    read_part(archive, main, started)
    book.unit_formats = _unit_formats(archive, [_inside(folder, t) for k, t in related.values() if k == "styles"])
    for kind, target in related.values():
        if kind == "sharedStrings":
            read_part(archive, _inside(folder, target), lambda *_: None)
    return book


def _relation_id(attributes: dict[str, str]) -> str:
    return next((value for name, value in attributes.items() if local(name) == "id" and ":" in name), "")


def _main_part(archive: zipfile.ZipFile) -> str:
    main = next((target for kind, target in _relations(archive, "_rels/.rels") if kind == "officeDocument"), "")
    name = _inside("", main)
    if name not in archive.namelist():
        raise Refused([Damaged()])
    return name


def _related(archive: zipfile.ZipFile, part: str) -> dict[str, tuple[str, str]]:
    rels = f"{posixpath.dirname(part)}/_rels/{posixpath.basename(part)}.rels".lstrip("/")
    found: dict[str, tuple[str, str]] = {}

    def started(name: str, attributes: dict[str, str]) -> None:
        if name == "Relationship" and attributes.get("TargetMode") != "External":
            kind = attributes.get("Type", "").rpartition("/")[2]
            found[attributes.get("Id", "")] = (kind, attributes.get("Target", ""))

    if rels in archive.namelist():
        read_part(archive, rels, started)
    return found


def _relations(archive: zipfile.ZipFile, rels: str) -> list[tuple[str, str]]:
    found: list[tuple[str, str]] = []
    if rels in archive.namelist():
        read_part(
            archive,
            rels,
            lambda _, a: found.append((a.get("Type", "").rpartition("/")[2], a.get("Target", ""))),
        )
    return found


def _inside(folder: str, target: str) -> str:
    return target.lstrip("/") if target.startswith("/") else posixpath.normpath(posixpath.join(folder, target))


def _unit_formats(archive: zipfile.ZipFile, names: list[str]) -> dict[int, str]:
    """Give the styles whose number format shows a unit: style index -> format code."""
    codes: dict[int, str] = dict(PERCENT_FORMATS)
    styles: list[int] = []
    within: list[str] = []

    def started(name: str, attributes: dict[str, str]) -> None:
        if name == "numFmt":
            codes[_number(attributes.get("numFmtId"))] = attributes.get("formatCode", "")[:80]
        if name in ("cellXfs", "cellStyleXfs", "dxfs", "cellStyles"):
            within[:] = [name]
        if name == "xf" and within == ["cellXfs"]:
            styles.append(_number(attributes.get("numFmtId")))

    for name in names:
        if name in archive.namelist():
            read_part(archive, name, started)
    shown = {index: codes.get(format_id, "") for index, format_id in enumerate(styles)}
    return {index: code for index, code in shown.items() if "%" in code or '"' in code}


def _number(text: str | None) -> int:
    return int(text) if text and text.isascii() and text.isdigit() else -1
