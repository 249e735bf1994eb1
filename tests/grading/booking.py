"""The command `book`, asked as a shell asks it."""

import io
from typing import Any

from django.core.management import call_command


def command(*words: str, **options: Any) -> tuple[int, str, str]:
    """Status, what was said, and what went wrong."""
    out, err = io.StringIO(), io.StringIO()
    status = 0
    try:
        call_command("book", *words, stdout=out, stderr=err, **options)
    except SystemExit as end:
        status = int(str(end.code))
    return status, out.getvalue(), err.getvalue()
