"""What the parts of the demo share: the station, its people, its clock, and how they load a workbook."""

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time

from django.contrib.auth.models import User

from fixtures_demo.calendar import ZONE
from fixtures_demo.season import TODAY, calendar
from fixtures_demo.workbooks import FOLDER
from inventory.importing.answers import read_answers
from inventory.importing.kinds import kind_named
from inventory.importing.loading import load_sheet
from inventory.models import Station

NOW = datetime.combine(TODAY, time(23), ZONE)


class DemoStopped(Exception):  # noqa: N818 - says what happened
    """The season could not be built as it was written."""


@dataclass
class Demo:
    """The demo while it is being built."""

    station: Station
    refused: list[tuple[str, str]] = field(default_factory=list)  # slips that never reached the books, and the remedy

    def person(self, name: str) -> User:
        """One of the demo's people."""
        return User.objects.get(username=name)

    def at(self, kind: str, day: date, number: str) -> datetime:
        """The moment of an act."""
        return calendar().moment(kind, day, number)

    def load(self, name: str, kind: str, answers: Mapping[tuple[int, str], str] | None = None) -> None:
        """Load a workbook as records does, answering its questions with a reason.

        Args:
            answers: row and heading of a question -> why it is kept as typed.

        Raises:
            DemoStopped: something was found that has no answer.
        """
        said = [
            {"row": row, "column": column, "answer": "keep", "reason": why}
            for (row, column), why in (answers or {}).items()
        ]
        path = FOLDER / f"{name}.xlsx"
        outcome = load_sheet(
            path.read_bytes(), path.name, kind_named(kind), station=self.station, by=self.person("records"),
            answers=read_answers(json.dumps(said)), now=NOW,
        )  # fmt: skip
        if not outcome.saved:
            found = [f"row {finding.row}, {finding.column}: {finding.says}" for finding in outcome.findings]
            raise DemoStopped(f"{path.name} was not saved. {' '.join(found)}")
