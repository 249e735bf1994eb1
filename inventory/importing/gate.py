"""The cheap first barrier before a file: what is it, how large, and is anything in it that no sheet needs?

The gate reads the directory of the zip archive and its list of contents, never a whole part. What it lets through is
read behind the second barrier, a process of its own (`child`). Forms: xlsx is ECMA-376 (Office Open XML) in a zip
archive; the limits on archives follow OWASP ASVS 5.0, 5.2.1 to 5.2.3 (size, type, unpacked size, number of files).
"""

import lzma
import struct
import zipfile
import zlib
from collections import Counter
from enum import StrEnum
from io import BytesIO
from pathlib import PurePosixPath

from inventory.importing import limits
from inventory.importing.markup import DeclaredError, read_elements
from inventory.importing.refusals import (
    MB,
    Damaged,
    EmptyFile,
    Encrypted,
    FileMistake,
    FileTooLarge,
    HoldsDeclarations,
    HoldsMacros,
    NotASheet,
    NotText,
    OldWorkbook,
    OtherWorkbook,
    PartTwice,
    PathInPart,
    TooManyParts,
    UnpacksTooLarge,
)
from inventory.rules.mistakes import Refused

ZIP_STARTS = (b"PK\x03\x04", b"PK\x05\x06")
OLE2_START = bytes.fromhex("d0cf11e0a1b11ae1")  # [MS-CFB] 2.2, header signature
UTF16_MARKS = (b"\xff\xfe", b"\xfe\xff")  # the only text that holds zero bytes
# zipfile and its unpackers raise all of these on archives that were cut, changed or written by no packer
BROKEN_ARCHIVE = (
    *(zipfile.BadZipFile, zlib.error, lzma.LZMAError, struct.error),
    *(NotImplementedError, EOFError, OSError, RuntimeError, ValueError, KeyError),
)
CONTENT_TYPES = "[Content_Types].xml"
WORKBOOK_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"
TEMPLATE_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.template.main+xml"
OTHER_STARTS = (
    (b"%PDF", "a PDF document"),
    (b"{\\rtf", "a text document"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"GIF8", "a picture"),
    (b"<?xml", "an XML document"),
    (b"<!doctype", "a web page"),
    (b"<html", "a web page"),
    (b"<table", "a web page"),
    (b"{", "a JSON document"),
)


class FileForm(StrEnum):
    """What the file is by its content; its name is not asked."""

    XLSX = "xlsx"
    TEXT = "csv"


def check_file(content: bytes) -> FileForm:
    """Say what the file is, or refuse it.

    Args:
        content: all bytes of the file.

    Raises:
        Refused: it is too large, not a sheet, or holds what no sheet needs.
    """
    if not content.strip():
        raise Refused([EmptyFile()])
    if len(content) > limits.MAX_FILE_BYTES:
        raise Refused([FileTooLarge(-(-len(content) // MB))])
    if content.startswith(ZIP_STARTS):
        _check_archive(content)
        return FileForm.XLSX
    _check_text(content)
    return FileForm.TEXT


def unpacked_bytes(content: bytes) -> int:
    """Add up what the parts of a workbook unpack to, as its directory says [byte]."""
    with zipfile.ZipFile(BytesIO(content)) as archive:
        return sum(part.file_size for part in archive.infolist())


def _check_text(content: bytes) -> None:
    if content.startswith(OLE2_START):
        raise Refused([_what_ole2_holds(content)])
    start = content.removeprefix(b"\xef\xbb\xbf").lstrip()[:16].lower()
    for begins, name in OTHER_STARTS:
        if start.startswith(begins.lower()):
            raise Refused([NotASheet(name)])
    if b"\x00" in content and not content.startswith(UTF16_MARKS):
        raise Refused([NotText()])


def _what_ole2_holds(content: bytes) -> FileMistake:
    """Tell a workbook under a password from an old one: both lie in the same kind of container."""
    if "EncryptedPackage".encode("utf-16-le") in content:  # [MS-OFFCRYPTO] 2.3.4.4
        return Encrypted()
    if any(stream.encode("utf-16-le") in content for stream in ("Workbook", "Book")):  # [MS-XLS] 2.1.2
        return OldWorkbook()
    return NotASheet("an old office document")


def _check_archive(content: bytes) -> None:
    try:
        with zipfile.ZipFile(BytesIO(content)) as archive:
            _refuse_first(_directory_mistakes(archive.infolist()))
            _refuse_first([*_other_workbook(archive), *_content_mistakes(archive)])
    except BROKEN_ARCHIVE as error:
        raise Refused([Damaged()]) from error


def _refuse_first(mistakes: list[FileMistake]) -> None:
    if mistakes:
        raise Refused(mistakes)


def _directory_mistakes(parts: list[zipfile.ZipInfo]) -> list[FileMistake]:
    if len(parts) > limits.MAX_PARTS:
        return [TooManyParts(len(parts))]
    if any(part.flag_bits & 0x1 for part in parts):  # APPNOTE.TXT 4.4.4, bit 0: encrypted
        return [Encrypted()]
    mistakes: list[FileMistake] = []
    mistakes += [PathInPart(_shown(part.filename)) for part in parts if _leaves_workbook(part.filename)][:1]
    names = Counter(part.filename.lower().lstrip("/") for part in parts)
    mistakes += [PartTwice(_shown(name)) for name, times in names.items() if times > 1][:1]
    if sum(part.file_size for part in parts) > limits.MAX_UNPACKED_BYTES or any(map(_is_bomb, parts)):
        mistakes.append(UnpacksTooLarge())
    return mistakes


def _leaves_workbook(name: str) -> bool:
    path = PurePosixPath(name.replace("\\", "/"))
    return ".." in path.parts or path.is_absolute() or ":" in name or "\x00" in name


def _is_bomb(part: zipfile.ZipInfo) -> bool:
    return (
        part.file_size > limits.RATIO_FROM_BYTES and part.file_size > max(part.compress_size, 1) * limits.MAX_PART_RATIO
    )


def _shown(name: str) -> str:
    return "".join(letter if letter.isprintable() else "?" for letter in name[:80])


def _other_workbook(archive: zipfile.ZipFile) -> list[FileMistake]:
    """Name a zip archive that is a document of another form."""
    names = set(archive.namelist())
    if "mimetype" in names and archive.getinfo("mimetype").file_size < 200:
        kind = archive.read("mimetype").decode("ascii", "replace")
        return [OtherWorkbook(".ods") if "opendocument.spreadsheet" in kind else NotASheet("another office document")]
    if CONTENT_TYPES in names:
        return []
    return [NotASheet("a zip archive")]


def _content_mistakes(archive: zipfile.ZipFile) -> list[FileMistake]:
    if CONTENT_TYPES not in archive.namelist():
        return []
    if archive.getinfo(CONTENT_TYPES).file_size > MB:
        return [UnpacksTooLarge()]
    types: list[str] = []
    try:
        read_elements(archive.read(CONTENT_TYPES), lambda _, named: types.append(named.get("ContentType", "")))
    except DeclaredError:
        return [HoldsDeclarations(CONTENT_TYPES)]
    except ValueError:
        return [Damaged()]
    return _type_mistakes(archive, types)


def _type_mistakes(archive: zipfile.ZipFile, types: list[str]) -> list[FileMistake]:
    names = [name.lower() for name in archive.namelist()]
    if any("vbaproject" in name or "/macrosheets/" in name for name in names) or any(
        "macroenabled" in kind.lower() or "vbaproject" in kind.lower() for kind in types
    ):
        return [HoldsMacros()]
    if any("ms-excel.sheet.binary" in kind for kind in types):
        return [OtherWorkbook(".xlsb")]
    if not {WORKBOOK_TYPE, TEMPLATE_TYPE} & set(types):
        return [NotASheet("another office document")]
    return []
