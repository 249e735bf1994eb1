"""Back up the whole data set: one file, one moment, while others go on writing."""

import os
import tempfile
import zipfile
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from inventory.models import ChainHead, Station
from inventory.queries.archives import applied_migrations, copied_models, is_backup, write_contents, write_table
from inventory.queries.snapshots import one_snapshot
from inventory.queries.verifying import verify
from inventory.rules.archives import BookState, CannotWrite, Manifest, WouldOverwrite


def back_up(file: Path) -> Manifest:
    """Write a backup; the file appears whole or not at all, and only its owner may read it.

    Raises:
        Mistake: the file cannot be written, or would replace one that is no backup.
    """
    return written_whole(file, "backup of Hilum", is_backup, _fill)


def written_whole(
    file: Path, kind: str, is_one: Callable[[Path], bool], fill: Callable[[zipfile.ZipFile], Manifest]
) -> Manifest:
    """Write a zip that appears whole or not at all.

    Args:
        kind: what it is, as a sentence names it.
        is_one: says whether a file that is there already is of this kind, and may be replaced.

    Raises:
        Mistake: the file cannot be written, or would replace something else.
    """
    if file.exists() and not is_one(file):
        raise WouldOverwrite(str(file), kind)
    try:
        # mkstemp lets the owner alone read it: the books are inside, in a backup the passwords' hashes too.
        handle, name = tempfile.mkstemp(dir=file.parent, prefix=f".{file.name}-")
    except OSError as error:
        raise CannotWrite(str(file), error.strerror or "no reason given") from error
    draft = Path(name)
    try:
        with os.fdopen(handle, "wb") as out:
            with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
                manifest = fill(archive)
            out.flush()
            os.fsync(out.fileno())
        draft.replace(file)
    except OSError as error:
        raise CannotWrite(str(file), error.strerror or "no reason given") from error
    finally:
        draft.unlink(missing_ok=True)
    return manifest


def _fill(archive: zipfile.ZipFile) -> Manifest:
    with one_snapshot():
        tables = tuple(write_table(archive, model) for model in copied_models())
        made_at = datetime.now(UTC).isoformat(timespec="seconds")
        manifest = Manifest(made_at, applied_migrations(), tables, book_states())
    write_contents(archive, manifest)
    return manifest


def book_states() -> tuple[BookState, ...]:
    """How the books of every station stand now, proved."""
    return tuple(_state(station) for station in sorted(Station.objects.all(), key=str))


def _state(station: Station) -> BookState:
    verdict = verify(station)
    head = ChainHead.objects.filter(station=station).values_list("hash", flat=True).first() or ""
    return BookState(
        station.code, verdict.operations, verdict.entries, head, verdict.chain, len(verdict.differences)
    )  # fmt: skip
