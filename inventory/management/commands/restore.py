"""`manage.py restore FILE`: bring a backup back, whole or not at all."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management import call_command

from inventory.actions.restoring import restore
from inventory.management.door import DONE, Door
from inventory.queries.archives import applied_migrations


class Command(Door):
    """Replace everything in the database by a backup, and prove the books afterwards."""

    help = "Replace everything in this database by a backup and prove the books; all of it or nothing."

    def take(self, parser: ArgumentParser) -> None:
        """Take the file, and leave to replace what is there."""
        parser.add_argument("file", help="A file that manage.py backup wrote.")
        parser.add_argument("--replace", action="store_true", help="Wipe out the acts that this database holds.")

    def answer(self, options: dict[str, Any]) -> int:
        """Restore; a database without tables gets them first."""
        if not applied_migrations():
            call_command("migrate", verbosity=0, interactive=False)
        manifest = restore(Path(options["file"]), replace=options["replace"])
        if options["json"]:
            self.say_json({"file": options["file"], "rows": manifest.rows, **manifest.as_document()})
        else:
            acts = sum(books.operations for books in manifest.books)
            self.say(f"{manifest.rows:,} rows restored from the backup of {manifest.made_at}: {acts:,} acts, proved.")
        return DONE
