"""Hostile and mistaken files: each is refused in time, with a sentence, and hurts nobody."""

import multiprocessing
import resource
import time
import warnings
import zipfile
from io import BytesIO

import pytest

from inventory.importing import limits, refusals
from inventory.importing.gate import FileForm, check_file
from inventory.importing.sheets import read_sheet
from inventory.rules.mistakes import Refused
from tests.inventory.importing.books import BOOK, PLAIN, SHEET, TYPES, book_of, packed, parts, worksheet

MACRO_TYPE = "application/vnd.ms-excel.sheet.macroEnabled.main+xml"
SHEET_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"
OLE2 = bytes.fromhex("d0cf11e0a1b11ae1")


def cell(ref: str) -> str:
    return worksheet(f'<row r="{ref.lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ")}"><c r="{ref}"><v>1</v></c></row>')


def with_doctype(part: str, name: str) -> str:
    laughs = "".join(f'<!ENTITY l{n} "{f"&l{n - 1};" * 10}">' for n in range(1, 10))
    return f'<?xml version="1.0"?><!DOCTYPE {name} [<!ENTITY l0 "ha">{laughs}]>' + part.replace(
        '<?xml version="1.0" encoding="UTF-8"?>', ""
    )


def twice() -> bytes:
    out = BytesIO()
    with zipfile.ZipFile(out, "w") as archive, warnings.catch_warnings():
        warnings.simplefilter("ignore")
        for name, content in [*parts().items(), (SHEET, PLAIN)]:
            archive.writestr(name, content)
    return out.getvalue()


def flagged_encrypted() -> bytes:
    content = bytearray(packed(parts()))
    for signature, offset in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        at = content.find(signature)
        content[at + offset] |= 1
    return bytes(content)


def cut() -> bytes:
    return packed(parts())[:-40]


def broken_inside() -> bytes:
    good = packed(parts(sheet=worksheet("<row/>" * 2000)))
    at = good.find(b"xl/worksheets/sheet1.xml") + 40
    return good[:at] + b"\xff\xff\xff\xff" + good[at + 4 :]


ROWS_WITHOUT_REFERENCES = worksheet("<row><c><v>1</v></c></row>" * 1_000_000)
STYLED = worksheet('<row r="1"><c r="A1"><v>1</v></c></row><row r="1048576"><c r="XFD1048576" s="0"/></row>')

HOSTILE = {
    "empty": (lambda: b"", refusals.EmptyFile),
    "blanks alone": (lambda: b" \r\n ", refusals.EmptyFile),
    "too many bytes": (lambda: b"a" * (limits.MAX_FILE_BYTES + 1), refusals.FileTooLarge),
    "a pdf": (lambda: b"%PDF-1.7 ...", refusals.NotASheet),
    "a web page": (lambda: b"\xef\xbb\xbf <!DOCTYPE html><html></html>", refusals.NotASheet),
    "bytes": (lambda: b"Date;Lot\n\x00\x01\x02", refusals.NotText),
    "bytes without nul": (lambda: b"Date;Lot\n\x01\x02\x81", refusals.NotText),
    "a zip": (lambda: packed({"readme.txt": "hello"}), refusals.NotASheet),
    "another document": (lambda: packed(parts(types=TYPES.replace("spreadsheetml.sheet", "x"))), refusals.NotASheet),
    "open document": (
        lambda: packed({"mimetype": "application/vnd.oasis.opendocument.spreadsheet"}),
        refusals.OtherWorkbook,
    ),
    "encrypted": (lambda: OLE2 + b"\x00" * 600 + "EncryptedPackage".encode("utf-16-le"), refusals.Encrypted),
    "encrypted zip": (flagged_encrypted, refusals.Encrypted),
    "old workbook": (lambda: OLE2 + b"\x00" * 600 + "Workbook".encode("utf-16-le"), refusals.OldWorkbook),
    "macro type": (lambda: packed(parts(types=TYPES.replace(SHEET_TYPE, MACRO_TYPE))), refusals.HoldsMacros),
    "macro part": (lambda: packed({**parts(), "xl/vbaProject.bin": b"x"}), refusals.HoldsMacros),
    "macro sheet": (lambda: packed({**parts(), "xl/macrosheets/sheet1.xml": b"x"}), refusals.HoldsMacros),
    "path up": (lambda: packed({**parts(), "../../etc/cron": b"x"}), refusals.PathInPart),
    "path up in the other slash": (lambda: packed({**parts(), "xl\\..\\..\\a": b"x"}), refusals.PathInPart),
    "absolute path": (lambda: packed({**parts(), "/etc/cron": b"x"}), refusals.PathInPart),
    "part twice": (twice, refusals.PartTwice),
    "many parts": (
        lambda: packed({**parts(), **{f"p{n}": b"" for n in range(limits.MAX_PARTS)}}),
        refusals.TooManyParts,
    ),
    "bomb": (lambda: packed(parts(strings=f"<sst><si><t>{'a' * 90_000_000}</t></si></sst>")), refusals.UnpacksTooLarge),
    "a million rows": (lambda: packed(parts(sheet=ROWS_WITHOUT_REFERENCES)), refusals.UnpacksTooLarge),
    "far corner": (lambda: packed(parts(sheet=cell("XFD1048576"))), refusals.FarCell),
    "far row": (lambda: packed(parts(sheet=cell("A1048576"))), refusals.FarCell),
    "far column": (lambda: packed(parts(sheet=cell("XFD1"))), refusals.FarCell),
    "far cell in single quotes": (
        lambda: packed(parts(sheet=cell("XFD1048576").replace('"', "'"))),
        refusals.FarCell,
    ),
    "far cell under a prefix": (
        lambda: packed(
            parts(
                sheet='<x:worksheet xmlns:x="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><x:sheetData>'
                '<x:row r="1048576"><x:c r="XFD1048576"><x:v>1</x:v></x:c></x:row></x:sheetData></x:worksheet>'
            )
        ),
        refusals.FarCell,
    ),
    "far cell in lower case": (lambda: packed(parts(sheet=cell("XFD1048576").replace("XFD", "xfd"))), refusals.FarCell),
    "far cell in UTF-16": (
        lambda: packed(parts(sheet=('<?xml version="1.0" encoding="UTF-16"?>' + cell("XFD9")).encode("utf-16"))),
        refusals.OtherEncoding,
    ),
    "latin-1": (
        lambda: packed(parts(sheet='<?xml version="1.0" encoding="ISO-8859-1"?>' + PLAIN)),
        refusals.OtherEncoding,
    ),
    "entities in the worksheet": (
        lambda: packed(parts(sheet=with_doctype(PLAIN, "worksheet"))),
        refusals.HoldsDeclarations,
    ),
    "entities in the strings": (
        lambda: packed(parts(strings=with_doctype("<sst/>", "sst"))),
        refusals.HoldsDeclarations,
    ),
    "entities in the types": (lambda: packed(parts(types=with_doctype(TYPES, "Types"))), refusals.HoldsDeclarations),
    "external entity": (
        lambda: packed(parts(book='<!DOCTYPE w [<!ENTITY e SYSTEM "file:///etc/passwd">]>' + BOOK.partition("?>")[2])),
        refusals.HoldsDeclarations,
    ),
    "cut short": (cut, refusals.Damaged),
    "broken inside": (broken_inside, refusals.Damaged),
    "not well formed": (lambda: packed(parts(sheet="<worksheet><sheetData>")), refusals.Damaged),
    "no worksheet part": (
        lambda: packed({name: part for name, part in parts().items() if name != SHEET}),
        refusals.Damaged,
    ),
    "nothing in it": (lambda: packed(parts(sheet=worksheet(""))), refusals.NothingInSheet),
    "only hidden": (
        lambda: packed(parts(book=BOOK.replace("sheetId", 'state="hidden" sheetId'))),
        refusals.NothingInSheet,
    ),
    "many rows": (
        lambda: packed(
            parts(sheet=worksheet("".join(f'<row r="{n}"><c r="A{n}"><v>{n}</v></c></row>' for n in range(1, 20_002))))
        ),
        refusals.TooManyRows,
    ),
    "huge merged range": (
        lambda: packed(
            parts(
                sheet=worksheet(
                    '<row r="1"><c r="A1"><v>1</v></c></row><row r="20000"><c r="CV20000"><v>1</v></c></row>'
                ).replace("</sheetData>", '</sheetData><mergeCells><mergeCell ref="A1:XFD1048576"/></mergeCells>')
            )
        ),
        refusals.TooManyCells,
    ),
}


@pytest.mark.parametrize("case", HOSTILE)
def test_it_refuses_what_can_not_be_a_sheet_within_five_seconds_and_says_what_to_do(case):
    make, expected = HOSTILE[case]
    content = make()
    began = time.monotonic()
    with pytest.raises(Refused) as refused:
        read_sheet(content, "sheet.xlsx")
    assert time.monotonic() - began < 5
    assert [type(mistake) for mistake in refused.value.mistakes] == [expected]
    assert refused.value.mistakes[0].says.endswith(".")


def _read_hostile(most: "multiprocessing.sharedctypes.Synchronized[int]") -> None:
    """Read hostile sheets in a process of its own: the figure of its children is of these readers alone."""
    for case in ("far corner", "huge merged range", "many rows", "not well formed"):
        with pytest.raises(Refused):
            read_sheet(HOSTILE[case][0](), "sheet.xlsx")
    most.value = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss


def test_the_children_that_read_them_stayed_below_half_a_gigabyte():
    # Started anew and not forked: Linux counts a child from the size of what started it, and a test run is large.
    anew = multiprocessing.get_context("spawn")
    most = anew.Value("q", 0)
    reader = anew.Process(target=_read_hostile, args=(most,))
    reader.start()
    reader.join()
    assert 0 < most.value < 512 * 1024  # [KiB] on Linux


def test_a_part_that_unpacks_to_more_than_its_directory_says_is_damaged_not_read():
    content = bytearray(packed(parts(strings=f"<sst><si><t>{'ab' * 40_000}</t></si></sst>")))
    entry = content.find(b"PK\x01\x02", content.find(b"PK\x01\x02xl/shared"))
    while content[entry + 46 : entry + 46 + 20] != b"xl/sharedStrings.xml":
        entry = content.find(b"PK\x01\x02", entry + 4)
    content[entry + 24 : entry + 28] = (100).to_bytes(4, "little")
    with pytest.raises(Refused) as refused:
        read_sheet(bytes(content), "sheet.xlsx")
    assert isinstance(refused.value.mistakes[0], refusals.Damaged)


def test_a_far_cell_that_is_only_formatted_is_no_reason_to_refuse():
    assert [c.ref for c in read_sheet(packed(parts(sheet=STYLED)), "s").rows[0].cells] == ["A1"]


def test_a_false_dimension_does_no_harm():
    sheet = PLAIN.replace("<sheetData>", '<dimension ref="A1:XFD1048576"/><sheetData>')
    assert len(read_sheet(packed(parts(sheet=sheet)), "s").rows) == 1


def test_links_to_other_files_are_left_alone():
    rels = parts()["xl/_rels/workbook.xml.rels"]
    assert isinstance(rels, str)
    linked = rels.replace(
        "</Relationships>",
        '<Relationship Id="rId9" Type="http://x/externalLink" Target="file:///etc/passwd" TargetMode="External"/>'
        "</Relationships>",
    )
    assert len(read_sheet(packed(parts(book_rels=linked)), "s").rows) == 1


def test_the_largest_list_that_is_promised_passes_the_gate():
    rows = [[f"2024-09-{n % 30 + 1:02d}", *range(n, n + 29)] for n in range(2_000)]
    assert check_file(book_of(*rows)) is FileForm.XLSX
    assert limits.MAX_ROWS >= 12_000
    assert limits.MAX_CELLS >= 12_000 * 30


def test_each_reason_has_its_own_code_and_says_a_full_sentence():
    codes = [kind.code for kind in refusals.ALL]
    assert len(set(codes)) == len(codes)
    assert set(refusals.ALL) == set(refusals.FileMistake.__subclasses__())


def test_a_code_that_nobody_knows_becomes_the_readers_own_sentence():
    assert isinstance(refusals.refusal("from nowhere", []), refusals.ReaderGaveUp)
    assert isinstance(refusals.refusal("far_cell", []), refusals.ReaderGaveUp)
