"""Small workbooks for tests: good ones written by openpyxl, hostile ones put together part by part."""

import zipfile
from io import BytesIO
from typing import Any

import openpyxl

TYPES = """<?xml version="1.0" encoding="UTF-8"?>
<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">
<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>
<Default Extension="xml" ContentType="application/xml"/>
<Override PartName="/xl/workbook.xml"
 ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/>
<Override PartName="/xl/worksheets/sheet1.xml"
 ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/>
</Types>"""
RELATION = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
RELS = f"""<?xml version="1.0" encoding="UTF-8"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">
<Relationship Id="rId1" Type="{RELATION}/officeDocument" Target="xl/workbook.xml"/></Relationships>"""
BOOK = f"""<?xml version="1.0" encoding="UTF-8"?>
<workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="{RELATION}">
<sheets><sheet name="Intake" sheetId="1" r:id="rId1"/></sheets></workbook>"""
BOOK_RELS = f"""<?xml version="1.0" encoding="UTF-8"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">
<Relationship Id="rId1" Type="{RELATION}/worksheet" Target="worksheets/sheet1.xml"/>
<Relationship Id="rId2" Type="{RELATION}/sharedStrings" Target="sharedStrings.xml"/></Relationships>"""
STRINGS = """<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><si><t>Date</t></si></sst>"""
SHEET = "xl/worksheets/sheet1.xml"


def worksheet(inside: str) -> str:
    """Wrap rows into a worksheet part."""
    return (
        '<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
        f"<sheetData>{inside}</sheetData></worksheet>"
    )


PLAIN = worksheet('<row r="1"><c r="A1" t="inlineStr"><is><t>Date</t></is></c><c r="B1"><v>842</v></c></row>')


def parts(**changed: str | bytes) -> dict[str, str | bytes]:
    """Give the parts of a small workbook, some of them changed: sheet=, types=, book=, strings=."""
    return {
        "[Content_Types].xml": changed.get("types", TYPES),
        "_rels/.rels": RELS,
        "xl/workbook.xml": changed.get("book", BOOK),
        "xl/_rels/workbook.xml.rels": changed.get("book_rels", BOOK_RELS),
        "xl/sharedStrings.xml": changed.get("strings", STRINGS),
        SHEET: changed.get("sheet", PLAIN),
    }


def packed(named: dict[str, str | bytes]) -> bytes:
    """Pack parts into a workbook."""
    out = BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in named.items():
            archive.writestr(name, content)
    return out.getvalue()


def saved(book: openpyxl.Workbook) -> bytes:
    """Give the bytes of a workbook of openpyxl."""
    out = BytesIO()
    book.save(out)
    return out.getvalue()


def book_of(*rows: list[Any]) -> bytes:
    """Write rows with openpyxl."""
    book = openpyxl.Workbook()
    sheet = book.active
    for row in rows:
        sheet.append(row)
    return saved(book)
