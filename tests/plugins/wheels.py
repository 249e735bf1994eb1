"""Build the example packages as wheels and install them in a folder, without a network and without pip.

A wheel without parts to compile is installed by unpacking it where packages lie (binary distribution format,
packaging.python.org, "Installing a wheel").
"""

import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

PACKAGES = Path(__file__).parent / "packages"
_BUILD = "import sys; from setuptools import build_meta; build_meta.build_wheel(sys.argv[1])"


def install_wheels(target: Path, scratch: Path) -> None:
    """Build every example package from a copy of its folder, and unpack its wheel."""
    for source in sorted(PACKAGES.iterdir()):
        if (source / "pyproject.toml").exists():
            copy = Path(shutil.copytree(source, scratch / source.name))
            with zipfile.ZipFile(_built(copy, scratch / f"{source.name}-wheel")) as packed:
                packed.extractall(target)


def _built(folder: Path, into: Path) -> Path:
    into.mkdir()
    done = subprocess.run(
        [sys.executable, "-W", "ignore", "-c", _BUILD, str(into)],
        cwd=folder,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    [wheel] = into.glob("*.whl")
    return wheel
