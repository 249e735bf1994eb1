"""Ask a command as a shell does: its exit status, and what it wrote."""

import json
from dataclasses import dataclass
from io import StringIO
from typing import Any

from django.core.management import call_command


@dataclass(frozen=True)
class Answer:
    """What a command said."""

    status: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        """The answer as JSON."""
        return json.loads(self.out)


def ask(*words: str) -> Answer:
    """Run a command in this process."""
    out, err, status = StringIO(), StringIO(), 0
    try:
        call_command(*words, stdout=out, stderr=err)
    except SystemExit as end:
        status = int(end.code or 0)
    return Answer(status, out.getvalue(), err.getvalue())
