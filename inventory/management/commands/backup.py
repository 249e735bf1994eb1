"""`manage.py backup FILE`: the whole data set in one file, of one moment, for either database."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from inventory.management.door import DONE, Door
from inventory.queries.archives import tables_left_out
from inventory.queries.backing_up import back_up


class Command(Door):
    """Write a backup; it goes on while others work, and restores on SQLite and on PostgreSQL."""

    help = "Write everything into one file: books, word lists and accounts. It restores on SQLite and on PostgreSQL."

    def take(self, parser: ArgumentParser) -> None:
        """Take the file."""
        parser.add_argument("file", help="Where to write it; an earlier backup of that name is replaced.")

    def answer(self, options: dict[str, Any]) -> int:
        """Back up and say what is in it, and whether the books that were backed up are whole."""
        manifest = back_up(Path(options["file"]))
        doubtful = [books for books in manifest.books if books.differences or books.chain != "whole"]
        for books in doubtful:
            self.complain(
                f"The books of {books.station} are backed up as they are, and they are not whole: run manage.py verify."
            )
        if left_out := tables_left_out():
            names = ", ".join(left_out)
            self.complain(
                f"Not in it are the tables of plugins that are off: {names}. Switch them on and back up again."
            )
        if options["json"]:
            self.say_json({"file": options["file"], "rows": manifest.rows, **manifest.as_document()})
        else:
            acts = sum(books.operations for books in manifest.books)
            self.say(f"{options['file']}: {manifest.rows:,} rows of {len(manifest.tables)} tables, {acts:,} acts.")
        return DONE
