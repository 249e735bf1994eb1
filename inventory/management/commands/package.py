"""`manage.py package FILE`: everything as a Data Package, one described table a file."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from inventory.management.door import DONE, Door
from inventory.queries.packages import pack


class Command(Door):
    """Write a Data Package; it goes on while others work, and `restore` loads it into an empty database."""

    help = (
        "Write everything as a Data Package: a zip of plain CSV tables with a data dictionary. manage.py restore loads "
        "it. Passwords and programs' keys stay here; manage.py backup keeps them too."
    )

    def take(self, parser: ArgumentParser) -> None:
        """Take the file."""
        parser.add_argument("file", help="Where to write it; an earlier package of that name is replaced.")

    def answer(self, options: dict[str, Any]) -> int:
        """Pack, and say what is in it."""
        manifest = pack(Path(options["file"]))
        if options["json"]:
            self.say_json({"file": options["file"], "rows": manifest.rows, **manifest.as_document()})
        else:
            self.say(f"{options['file']}: {manifest.rows:,} rows of {len(manifest.tables)} tables.")
        return DONE
