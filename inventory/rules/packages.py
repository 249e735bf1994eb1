"""What a Data Package of ours says of itself, and what is wrong with one that does not say it.

Source: Data Package and Table Schema, Frictionless Data, version 1 (specs.frictionlessdata.io), which version 2 reads.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict
from typing import Any

from inventory.rules.archives import BookState, Damaged, Manifest, OtherVersion, TableCopy
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import listed
from inventory.rules.roles import MayNot

DESCRIPTOR, OURS, VERSION = "datapackage.json", "hilum", 1
FILE = re.compile(r"files/[0-9a-f]{64}\.[a-z]{3}")
# Tables of many like rows pack well, but nothing that anybody entered packs a thousandfold.
MOST_PACKED, SMALL = 250, 1024 * 1024
UNITS = {
    "_mg": "mg", "_g": "g", "_kg": "kg", "_pct": "%", "_ppm": "ppm", "_m2": "m2", "_c": "degree Celsius",
}  # fmt: skip


class NoPackage(Mistake):
    """A zip with a description that is not ours."""

    code = "no_package"

    def __init__(self, file: str) -> None:
        says = f"{file} is a Data Package, but not one that Hilum wrote. Load its tables as sheets instead."
        super().__init__(says, field="file")


class LeadsOutside(Mistake):
    """A name within the zip that would lead out of it."""

    code = "leads_outside"

    def __init__(self, file: str, name: str) -> None:
        says = f"{file} holds something under the name {name[:80]!r}, which no package of ours has. Use another copy."
        super().__init__(says, field="file")


class PacksTooWell(Mistake):
    """A few bytes that would unpack into a great many."""

    code = "packs_too_well"

    def __init__(self, file: str, name: str, size: int) -> None:
        says = f"{file} is no package of ours: {name[:80]} would unpack to {size:,} bytes from next to nothing."
        super().__init__(f"{says} Use another copy.", field="file")


class MayNotTakeOut(MayNot):
    """Everything of a station would leave whose records somebody else keeps."""

    code = "may_not_take_out"

    def __init__(self, stations: Sequence[str]) -> None:
        where = listed(list(stations), "and")
        says = f"A package holds everything of {where} too; it is given to records of every station."
        Mistake.__init__(self, f"{says} Ask there, or use manage.py package.")


class TooLongToWait(Mistake):
    """Books that take longer to pack than a request lasts."""

    code = "too_long_to_wait"

    def __init__(self, most: int) -> None:
        super().__init__(
            f"These books have more than {most:,} acts: ask for the job package, or use manage.py package."
        )


def path_of(table: str) -> str:
    """Say where a table stands in the package."""
    return f"data/{table}.csv"


def unit_of(column: str) -> str:
    """Name the unit of a column by the end of its name; empty where it has none."""
    return next((unit for end, unit in UNITS.items() if f"_{column}".endswith(end)), "")


def descriptor(
    made_at: str, migrations: Sequence[str], books: Sequence[BookState], resources: Sequence[Mapping[str, Any]]
) -> dict[str, Any]:  # fmt: skip
    """Write the description of a package; what only a copy of Hilum reads stands under its own name."""
    return {
        "profile": "data-package",
        "name": "hilum",
        "title": "Everything in the books of a station that runs Hilum",
        "description": "One table a file, in UTF-8; masses are whole milligrams, times are UTC. How seed is counted: "
        "inventory_operation has every act, inventory_entry its signed masses, which sum to nothing for each act.",
        "created": made_at,
        OURS: {"version": VERSION, "migrations": list(migrations), "books": [asdict(book) for book in books]},
        "resources": [dict(resource) for resource in resources],
    }


def read_descriptor(document: Any, file: str) -> Manifest:
    """Read the description of a package.

    Raises:
        Mistake: it is another's, of a later version, or its words were changed.
    """
    if not isinstance(document, Mapping) or not isinstance(document.get(OURS), Mapping):
        raise NoPackage(file)
    ours = document[OURS]
    if ours.get("version") != VERSION:
        raise OtherVersion(file)
    try:
        tables = [_table(resource) for resource in document["resources"] if "schema" in resource]
        return Manifest(
            str(document["created"]),
            tuple(map(str, ours["migrations"])),
            tuple(tables),
            tuple(BookState(**book) for book in ours["books"]),
        )
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise Damaged(file, "its description") from error


def _table(resource: Mapping[str, Any]) -> TableCopy:
    name, kind = str(resource["name"]), str(resource["hash"]).removeprefix("sha256:")
    if resource["path"] != path_of(name):
        raise ValueError("a table of another file")
    columns = tuple(str(column["name"]) for column in resource["schema"]["fields"])
    return TableCopy(name, columns, int(resource["rows"]), kind)


def strange_names(names: Iterable[str], tables: Iterable[str]) -> list[str]:
    """Find names that no package of ours has, or that stand in it twice."""
    known = {DESCRIPTOR, *map(path_of, tables)}
    each = list(names)
    return [name for name in each if (name not in known and not FILE.fullmatch(name)) or each.count(name) > 1]
