"""A PostgreSQL server of the tests' own: private folder, private port, gone afterwards."""

import os
import pwd
import shutil
import socket
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

BINARIES = "/usr/lib/postgresql/*/bin"  # Debian keeps them off PATH


def binaries() -> Path | None:
    """Find the folder of `initdb` and `pg_ctl`, the newest first."""
    debian = sorted(Path("/").glob(BINARIES.lstrip("/")), key=lambda folder: float(folder.parent.name), reverse=True)
    on_path = shutil.which("pg_ctl")
    places = [*([Path(on_path).parent] if on_path else []), *debian]
    return next((place for place in places if (place / "initdb").exists()), None)


@contextmanager
def private_server(where: Path) -> Iterator[str]:
    """Run a server that forgets everything.

    Args:
        where: the folder of its binaries.

    Yields:
        Its address without a database: postgresql://hilum@127.0.0.1:PORT
    """
    user = _user()
    folder = Path(tempfile.mkdtemp(prefix="hilum-postgres-"))
    if user:
        shutil.chown(folder, user)
    data, port = folder / "data", _free_port()

    def run(*command: str) -> None:
        said = subprocess.run(command, user=user, cwd="/", capture_output=True, text=True, check=False)
        if said.returncode:
            raise RuntimeError(f"{' '.join(command)} failed: {said.stdout}{said.stderr}")

    options = f"-p {port} -k {folder} -c listen_addresses=127.0.0.1 -c fsync=off"
    control = (str(where / "pg_ctl"), "-D", str(data), "-w", "-s", "-l", str(folder / "log"))
    try:
        run(str(where / "initdb"), "-D", str(data), "-U", "hilum", "-A", "trust", "-E", "UTF8", "--locale=C", "-N")
        run(*control, "-o", options, "start")
        yield f"postgresql://hilum@127.0.0.1:{port}"
    finally:
        subprocess.run([*control, "-m", "immediate", "stop"], user=user, cwd="/", capture_output=True, check=False)
        shutil.rmtree(folder, ignore_errors=True)


def _user() -> str | None:
    """Name whom to run as: PostgreSQL refuses root."""
    if os.geteuid() != 0:
        return None
    names = {entry.pw_name for entry in pwd.getpwall()}
    return "postgres" if "postgres" in names else "nobody"


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port
