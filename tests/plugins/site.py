"""A site of its own in a folder, with packages beside it, asked as a shell asks: each command a process of its own."""

import json
import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from textwrap import dedent
from typing import Any

ROOT = Path(__file__).resolve().parents[2]


@dataclass(frozen=True)
class Site:
    """A data folder, and the folder of packages that are installed beside the site."""

    data: Path
    packages: Path
    database: str = ""  # where its books stand, if not in a file of the data folder

    def run(self, *command: str, **environment: str) -> "subprocess.CompletedProcess[str]":
        """Run one of the project's commands."""
        return self._process([str(ROOT / "manage.py"), *command], environment)

    def json(self, *command: str, **environment: str) -> Any:
        """Run a command that must go well and read its JSON."""
        done = self.run(*command, "--json", **environment)
        assert done.returncode == 0, done.stderr
        return json.loads(done.stdout)

    def program(self, text: str, **environment: str) -> Any:
        """Run lines of Python on the started site; what they print last is JSON."""
        lines = ["import json, django", "django.setup()", dedent(text)]
        done = self._process(["-c", "\n".join(lines)], environment)
        assert done.returncode == 0, done.stderr
        return json.loads(done.stdout.splitlines()[-1])

    def migrate(self) -> None:
        """Make the tables of the core."""
        done = self.run("migrate", "--noinput", "--verbosity", "0", HILUM_WITHOUT_PLUGINS="1")
        assert done.returncode == 0, done.stderr

    def package(self, name: str, plugin: str = "", slug: str = "", **files: str) -> None:
        """Put a small package beside the site, as an installer would.

        Args:
            name: of the package and of its module.
            plugin: the arguments of its `Plugin`, as Python; a usual one where it is left out.
            slug: of the entry point; else the name with hyphens.
            files: module -> its lines; "migrations__0001_initial" stands in a folder.
        """
        slug = slug or name.replace("_", "-")
        usual = f'slug="{slug}", title="{name}", version="1.0", api=">=1.0,<2"'
        said = plugin if plugin.startswith("slug=") else ", ".join(filter(None, (usual, plugin)))
        modules = {"__init__": f"from hilum.plugins import Plugin\n\nPLUGIN = Plugin({said})\n", **files}
        for module, text in modules.items():
            file = self.packages / name / f"{module.replace('__', '/') if not module.startswith('__') else module}.py"
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_text(dedent(text))
            if file.parent.name == "migrations":
                (file.parent / "__init__.py").touch()
        told = self.packages / f"{name}-1.0.dist-info"
        told.mkdir(exist_ok=True)
        (told / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {name.replace('_', '-')}\nVersion: 1.0\n")
        (told / "entry_points.txt").write_text(f"[hilum.plugins]\n{slug} = {name}:PLUGIN\n")

    def _process(self, command: list[str], environment: dict[str, str]) -> "subprocess.CompletedProcess[str]":
        kept = {name: value for name, value in os.environ.items() if not name.startswith(("HILUM_", "DATABASE_URL"))}
        return subprocess.run(
            [sys.executable, "-W", "ignore", *command],
            cwd=ROOT,
            env={
                **kept, "HILUM_DATA": str(self.data), "PYTHONPATH": os.pathsep.join([str(ROOT), str(self.packages)]),
                "DJANGO_SETTINGS_MODULE": "hilum.settings",
                **({"DATABASE_URL": self.database} if self.database else {}), **environment,
            },
            capture_output=True,
            text=True,
            check=False,
        )  # fmt: skip
