"""Start the site with some plugins in a process of its own, and hear what came of it."""

import json
import os
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

TRIED = "HILUM_TRIED_PLUGINS"  # for the child: exactly these plugins, without a check of their own
LONGEST = 120  # seconds that a trial may take
_SITE = Path(__file__).resolve().parents[2]
Task = Literal["start", "plan", "migrate"]


@dataclass(frozen=True)
class Tried:
    """What came of a trial."""

    why: str = ""  # half a sentence that says why it failed; "" where it did not
    said: tuple[str, ...] = ()  # names of migrations that were planned or applied


def try_out(task: Task, plugins: Sequence[str], label: str = "") -> Tried:
    """Start the site with plugins in a second process.

    Args:
        task: start it; plan the migrations of one app as well; or apply them.
        plugins: as slug@package.
        label: of the app to be migrated.
    """
    environment = {**os.environ, TRIED: ",".join(plugins)}
    environment.setdefault("DJANGO_SETTINGS_MODULE", "hilum.settings")
    environment["PYTHONPATH"] = os.pathsep.join([str(_SITE), *filter(None, [environment.get("PYTHONPATH")])])
    command = [sys.executable, "-m", "hilum.plugins.child", task, label]
    try:
        done = subprocess.run(  # noqa: S603 - our own module; what varies is the environment
            command, env=environment, capture_output=True, text=True, timeout=LONGEST, check=False
        )
    except subprocess.TimeoutExpired:
        return Tried(f"the site did not start with it within {LONGEST} seconds")
    return _heard(done)


def _heard(done: "subprocess.CompletedProcess[str]") -> Tried:
    """Read the child's last line; a child that died says its last words."""
    try:
        said = json.loads(done.stdout.strip().splitlines()[-1])
        return Tried(str(said["why"]), tuple(said["said"]))
    except (ValueError, IndexError, KeyError, TypeError):
        last = (done.stderr.strip().splitlines() or ["it said nothing"])[-1]
        return Tried(f"the site did not start with it (exit status {done.returncode}: {last[:300]})")
