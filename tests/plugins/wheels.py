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
_BUILD = """
import os, sys
from setuptools import build_meta
for folder in sys.argv[2:]:
    os.chdir(folder)
    build_meta.build_wheel(sys.argv[1])
"""


def install_wheels(target: Path, scratch: Path) -> None:
    """Build every example package in one process, and unpack its wheel."""
    sources = [folder for folder in sorted(PACKAGES.iterdir()) if (folder / "pyproject.toml").exists()]
    copies = [Path(shutil.copytree(one, scratch / one.name)) for one in sources]
    wheels = scratch / "wheels"
    wheels.mkdir()
    done = subprocess.run(
        [sys.executable, "-W", "ignore", "-c", _BUILD, str(wheels), *map(str, copies)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    built = sorted(wheels.glob("*.whl"))
    assert len(built) == len(sources)
    for wheel in built:
        with zipfile.ZipFile(wheel) as packed:
            packed.extractall(target)
