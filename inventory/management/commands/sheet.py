"""`manage.py sheet FILE --kind KIND`: say everything that is found in a sheet, and save it when nothing is open."""

from argparse import ArgumentParser
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from inventory.importing.answers import Answers, read_answers
from inventory.importing.findings import Finding
from inventory.importing.kinds import all_kinds, kind_named
from inventory.importing.kinds.kind import Kind
from inventory.importing.loading import NO_ANSWERS, Outcome, check_sheet, load_sheet
from inventory.importing.sheets import read_bytes
from inventory.importing.template import write_template
from inventory.management.door import DONE, NO, Door, take_person, the_person_who_may, the_station
from inventory.models import Station
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import listed, quoted

MOST_ANSWERS = 4 * 1024 * 1024  # bytes; every cell of a year's sheet answered is smaller


class FileNotRead(Mistake):
    """A file that is not there, or may not be read or written."""

    code = "file_not_read"

    def __init__(self, path: str, why: str) -> None:
        super().__init__(f"{quoted(path)}: {why}. Check the name and where it lies.")


class NoFile(Mistake):
    """Neither a sheet nor a template was asked for."""

    code = "no_file"

    def __init__(self) -> None:
        super().__init__("Name the sheet to read, or --template and where to write an empty one.")


class NoKind(Mistake):
    """What a sheet lists was not said."""

    code = "no_kind"

    def __init__(self, known: Sequence[str]) -> None:
        super().__init__(f"Say what the sheet lists: --kind {listed(list(known))}.", field="kind")


class Command(Door):
    """Checks a sheet; with --save it is booked, all or nothing; exit status 1 while something has to be answered."""

    help = "Read a sheet of deliveries, runs, plots …: what is found, cell by cell; --save books it."

    def take(self, parser: ArgumentParser) -> None:
        """Take the file, its kind, and what to do."""
        parser.add_argument("file", nargs="?", default="", help="an .xlsx workbook or a .csv file")
        parser.add_argument("--kind", default="", help=f"what it lists: {listed(list(all_kinds()))}")
        parser.add_argument("--save", action="store_true", help="Save it if nothing is open; all or nothing.")
        parser.add_argument(
            "--answers", default="", metavar="FILE.json", help='[{"row": 8, "column": "Moist", "answer": "accept"}]'
        )
        parser.add_argument("--template", default="", metavar="OUT.xlsx", help="Write an empty sheet of this kind.")
        take_person(parser)

    def answer(self, options: dict[str, Any]) -> int:
        """Write the template, check or save."""
        station = the_station(options)
        if not options["kind"].strip():
            raise NoKind(list(all_kinds(station.code)))
        kind = kind_named(options["kind"], station.code)
        if options["template"]:
            self._write_template(kind, station, options)
        if not options["file"]:
            return self._without_file(options)
        outcome = _read(kind, station, options)
        self.say_json(outcome.as_json()) if options["json"] else self.say(*_in_words(outcome))
        return NO if outcome.is_open else DONE

    def _without_file(self, options: dict[str, Any]) -> int:
        if not options["template"]:
            raise NoFile
        return DONE

    def _write_template(self, kind: Kind, station: Station, options: dict[str, Any]) -> None:
        try:
            write_template(kind.vocabulary, Path(options["template"]), kind.lists(station))
        except OSError as error:
            raise FileNotRead(options["template"], error.strerror or str(error)) from None
        if not options["json"]:
            self.say(f"The template is in {options['template']}.")


def _read(kind: Kind, station: Station, options: dict[str, Any]) -> Outcome:
    path = Path(options["file"])
    content, answers = _bytes(path), _answers(options["answers"])
    if not options["save"]:
        return check_sheet(content, path.name, kind, station=station, answers=answers)
    by = the_person_who_may(options, station, "load")
    return load_sheet(content, path.name, kind, station=station, by=by, answers=answers)


def _bytes(path: Path) -> bytes:
    try:
        return read_bytes(path)
    except (OSError, ValueError) as error:
        raise FileNotRead(str(path), getattr(error, "strerror", "") or str(error)) from None


def _answers(path: str) -> Answers:
    if not path:
        return NO_ANSWERS
    try:
        with Path(path).open("rb") as file:
            text = file.read(MOST_ANSWERS).decode("utf-8-sig")
    except UnicodeDecodeError:
        raise FileNotRead(path, "this is not UTF-8 text") from None
    except (OSError, ValueError) as error:
        raise FileNotRead(path, getattr(error, "strerror", "") or str(error)) from None
    return read_answers(text)


def _in_words(outcome: Outcome) -> list[str]:
    lines = [f"Sheet {outcome.sheet}: {outcome.rows:,} rows."]
    lines += [_finding_in_words(finding) for finding in outcome.findings]
    waiting = len([finding for finding in outcome.findings if finding.is_open])
    if outcome.saved:
        lines.append(f"Saved {outcome.saved:,} as load {outcome.load}; `unload {outcome.load}` takes it back.")
    elif waiting:
        lines.append(
            f"{waiting:,} to answer before anything is saved: accept (takes the proposal), keep, leave_out, or "
            "a value, in a file for --answers."
        )
    elif outcome.load is None:
        lines.append("Nothing is open; --save books it.")
    return lines


def _finding_in_words(finding: Finding) -> str:
    where: Sequence[str] = [
        *([f"row {finding.row}"] if finding.row else []),
        *([finding.column] if finding.column else []),
        *([finding.cell] if finding.cell else []),
    ]
    what = f" {quoted(finding.value)}" if finding.value else ""
    proposal = f" [proposed: {finding.proposal}]" if finding.is_open and finding.proposal is not None else ""
    return f"  {finding.level.value:9} {', '.join(where) or 'sheet'}{what}: {finding.says}{proposal}"
