"""`manage.py passports FILE`: lines and crosses as a passport file in the open MCPD form."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from inventory.importing.passport_files import form_of, passport_file
from inventory.management.door import DONE, Door, the_station
from inventory.rules.archives import CannotWrite


class Command(Door):
    """Write passports as CSV or as a workbook, by the ending of the file's name."""

    help = "Write all lines and crosses as a passport file (FAO/Bioversity MCPD V.2.1), .csv or .xlsx."

    def take(self, parser: ArgumentParser) -> None:
        """Take the file."""
        parser.add_argument("file", help="Where to write it: NAME.csv or NAME.xlsx.")

    def answer(self, options: dict[str, Any]) -> int:
        """Write the file and say where it is."""
        file = Path(options["file"])
        content = passport_file(the_station(options), form_of(file.name))
        try:
            file.write_bytes(content)
        except OSError as error:
            raise CannotWrite(str(file), error.strerror or "no reason given") from error
        if options["json"]:
            self.say_json({"file": options["file"], "bytes": len(content)})
        else:
            self.say(f"{file}: {len(content):,} bytes.")
        return DONE
