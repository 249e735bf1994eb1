"""What a check of plugins stood on: as long as none of it changed, the check need not be made again.

All files are looked at by size and time, not read: some hundreds of them take a few milliseconds.
"""

import hashlib
import os
import sys
from collections.abc import Iterable, Iterator
from importlib.util import find_spec
from pathlib import Path

from hilum.plugins.installed import Installed

_SITE = Path(__file__).resolve().parents[2]
_OURS = ("api", "grading", "hilum", "inventory")


def stamp_of(plugins: Iterable[Installed]) -> str:
    """Give a print of this Python, the packages beside it, our own files and those of the plugins."""
    told = hashlib.sha256(sys.version.encode())
    for words in (*_packages(), *_files([_SITE / name for name in _OURS])):
        told.update(f"{words}\n".encode())
    for plugin in plugins:
        told.update(f"{plugin.slug} {plugin.package} {plugin.version} {plugin.point.value}\n".encode())
        for words in _files(_folders(plugin)):
            told.update(f"{words}\n".encode())
    return told.hexdigest()


def _packages() -> Iterator[str]:
    """Name every package that is installed, each with its version: a plugin may lean on any of them."""
    for folder in sys.path:
        try:
            yield from sorted(name for name in os.listdir(folder or ".") if name.endswith((".dist-info", ".egg-info")))  # noqa: PTH208 - sys.path holds texts, some of which are no folders
        except OSError:
            continue


def _folders(plugin: Installed) -> list[Path]:
    try:
        spec = find_spec(plugin.point.module.partition(".")[0])
    except (ImportError, ValueError):
        return []
    if spec is None:
        return []
    if spec.submodule_search_locations:
        return [Path(folder) for folder in spec.submodule_search_locations]
    return [Path(spec.origin)] if spec.origin else []


def _files(places: Iterable[Path]) -> Iterator[str]:
    for place in places:
        for file in [place] if place.is_file() else sorted(place.rglob("*.py")):
            try:
                seen = file.stat()
            except OSError:
                continue
            yield f"{file} {seen.st_size} {seen.st_mtime_ns}"
