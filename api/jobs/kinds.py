"""The kinds of long work there are: what each asks for, and the function that does it.

A new kind is a function `do(task, progress)` and a line in `KINDS`. It writes its file to `task.file`, says how far it
is with `progress(done, of)`, which is also where it stops when it is cancelled, and returns what it made.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Protocol

from django.contrib.auth.models import User

from api.scopes import READ
from api.unusable import Unusable
from inventory.importing.words import UnknownWord
from inventory.models import Station
from inventory.rules.mistakes import Mistake


class Progress(Protocol):
    """Says how far a job is; raises what ends it when it was cancelled."""

    def __call__(self, done: int, of: int) -> None:
        """So many steps of so many are done."""


@dataclass(frozen=True)
class Task:
    """One job as its function sees it.

    Attributes:
        words: the kind's dataclass, filled with what was asked.
        file: where the result goes, if there is a file; the folder is there.
        key: under which an act of it is one effect, also when the job is taken up again: the sender's, or its own.
    """

    station: Station
    person: User
    words: Any
    file: Path
    key: str = ""


@dataclass(frozen=True)
class Made:
    """What came of a job: a sentence, and the name and kind of the file where there is one."""

    says: str
    file_name: str = ""
    media_type: str = "application/octet-stream"


@dataclass(frozen=True)
class JobKind:
    """A kind of long work.

    Attributes:
        tells: what it makes, in a sentence.
        words: a frozen dataclass of typed words.
        check: refuses what cannot be done before it is queued; raises `Mistake`, `Refused` or `Unusable`.
        reads: the resource a key must be allowed to read (`api/scopes.py`); "" for all of them.
        verb: what the key must be allowed to do with it, where reading is not enough.
    """

    name: str
    tells: str
    words: type[Any]
    do: Callable[[Task, Progress], Made]
    check: Callable[[Task], None] = lambda _task: None
    reads: Callable[[Any], str] = lambda _words: ""
    verb: str = READ


class UnknownJob(Unusable):
    """A kind of work that there is not."""


def job_kinds(station: str = "") -> Mapping[str, JobKind]:
    """Give all kinds that there are at a station, or at any, by their names."""
    from api.jobs.backups import BACKUP  # noqa: PLC0415 - a kind is written with the words of this module
    from api.jobs.exports import EXPORT  # noqa: PLC0415 - as above
    from api.jobs.packages import PACKAGE  # noqa: PLC0415 - as above
    from api.jobs.sheets import CHECK, SAVE  # noqa: PLC0415 - as above
    from api.plugins.jobs import plugin_jobs  # noqa: PLC0415 - as above

    return {
        kind.name: kind for kind in (*plugin_jobs(station), EXPORT, BACKUP, PACKAGE, CHECK, SAVE)
    }  # ours stand before their namesakes


def job_kind(name: object, station: str = "") -> JobKind:
    """Find a kind.

    Raises:
        Mistake: there is none of this name.
    """
    kinds = job_kinds(station)
    if not isinstance(name, str) or name not in kinds:
        mistake: Mistake = UnknownWord("kind of job", str(name or ""), list(kinds), field="kind")
        raise mistake
    return kinds[name]
