"""The server's secret: made once, kept beside the data, read by its owner alone."""

import contextlib
import os
import secrets
import tempfile
from pathlib import Path

SECRET_BYTES = 64


def secret_kept_in(folder: Path) -> str:
    """Read the secret of this data folder, making it the first time.

    Args:
        folder: where the site's data lies; made if it is not there.

    Returns:
        The text in `folder/secret`, the same for every process that starts on this folder.
    """
    file = folder / "secret"
    if not file.exists():
        folder.mkdir(parents=True, exist_ok=True)
        _make(file)
    return file.read_text(encoding="ascii").strip()


def _make(file: Path) -> None:
    # Two processes may start at once: each writes a whole file of its own, and only the first gets the name.
    handle, name = tempfile.mkstemp(dir=file.parent, prefix=".secret-")  # mkstemp opens with mode 0600
    try:
        with os.fdopen(handle, "w", encoding="ascii") as draft:
            draft.write(secrets.token_urlsafe(SECRET_BYTES))
        with contextlib.suppress(FileExistsError):
            os.link(name, file)
    finally:
        Path(name).unlink()
