"""`python -m benchmarks [NAME]`: run the benchmarks and print a JSON line for each result.

A benchmark is a module of this folder with `run() -> Iterator[Result]`; its name is the module's.
"""

import os
import pkgutil
import sys
import tempfile
from collections.abc import Callable, Iterator
from importlib import import_module

import benchmarks
from benchmarks.result import Result

FRAME = ("__main__", "result", "timing")


def names() -> tuple[str, ...]:
    """Name the benchmarks there are."""
    return tuple(module.name for module in pkgutil.iter_modules(benchmarks.__path__) if module.name not in FRAME)


def runner(name: str) -> Callable[[], Iterator[Result]]:
    """Find a benchmark's `run`."""
    run: Callable[[], Iterator[Result]] = import_module(f"benchmarks.{name}").run
    return run


def main(asked: list[str]) -> int:
    """Run those asked for, or all.

    Returns:
        0 when all ran; 2 when one asked for does not exist, or none exists.
    """
    known = names()
    unknown = [name for name in asked if name not in known]
    if unknown or not known:
        missing = f"There is no benchmark named {', '.join(unknown)}. " if unknown else ""
        print(f"{missing}Benchmarks there are: {', '.join(known) or 'none yet'}.", file=sys.stderr)
        return 2
    with tempfile.TemporaryDirectory(prefix="hilum-bench-") as folder:
        _start_on(folder)
        for name in asked or known:
            for result in runner(name)():
                print(result.line(), flush=True)
    return 0


def _start_on(folder: str) -> None:
    # A benchmark fills a database of its own and never one that may hold real lots.
    os.environ.update(HILUM_DATA=folder, DJANGO_SETTINGS_MODULE="hilum.settings")
    os.environ.pop("DATABASE_URL", None)
    import django  # noqa: PLC0415 - settings are read when Django starts, and they must find the folder

    django.setup()


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
