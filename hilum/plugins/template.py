"""The package that `manage.py plugins new NAME` writes: small, whole, and with tests that pass."""

from pathlib import Path

from hilum.plugins.plugin import LONGEST_SLUG, is_slug
from hilum.plugins.switching import CannotSwitch
from hilum.plugins.versions import API_VERSION, read_version

_FILES = {
    "pyproject.toml": """[build-system]
requires = ["setuptools>=77"]
build-backend = "setuptools.build_meta"

[project]
name = "{slug}"
version = "0.1.0"
description = "{title}, as a plugin of Hilum"
requires-python = ">=3.11"

[project.entry-points."hilum.plugins"]
{slug} = "{module}:PLUGIN"

[tool.setuptools.packages.find]
include = ["{module}*"]

[tool.setuptools.package-data]
{module} = ["templates/**/*"]
""",
    "README.md": """# {title}

A plugin of Hilum. What it may rely on stands in Hilum's `hilum/plugins/README.md`, with a page for every hook.

    .venv/bin/python -m pip install pytest  once, and as here always with the Python of the site's own .venv/
    .venv/bin/python -m pytest              its tests
    .venv/bin/python -m pip install .       into the environment in which the site runs
    manage.py plugins enable {slug}         tries it in a process of its own, then switches it on
""",
    "{module}/__init__.py": '''"""{title}."""

from hilum.plugins import Plugin

PLUGIN = Plugin(slug="{slug}", title="{title}", version="0.1.0", api="{api}", hooks="{module}.hooks")
''',
    "{module}/hooks.py": '''"""What the plugin answers when the site asks."""

from collections.abc import Mapping, Sequence
from decimal import Decimal

from hilum.plugins import MeasurementField, MeasurementFinding, MeasurementKind, Result, WorkedOut, hookimpl

FIELDS = (
    MeasurementField("before", "mass before", unit="g", least=Decimal("0.1"), most=Decimal(1000), example="100"),
    MeasurementField("after", "mass after", unit="g", most=Decimal(3000), example="105.4"),
)


def work_out(values: Mapping[str, Decimal]) -> WorkedOut:
    """Reckon how much the mass has changed, in per cent of what it was before."""
    change = ((values["after"] / values["before"] - 1) * 100).quantize(Decimal("0.1"))
    doubled = MeasurementFinding("doubled", "after", "question", "It weighs twice as much as before. Is that right?")
    return WorkedOut((Result("change", change, "%"),), (doubled,) if change >= 100 else ())


KIND = MeasurementKind("{module}", "{title}", FIELDS, work_out)


@hookimpl
def measurement_kinds() -> Sequence[MeasurementKind]:
    """Bring the measurement."""
    return [KIND]
''',
    "tests/conftest.py": """pytest_plugins = ["hilum.plugins.testing"]
""",
    "tests/test_plugin.py": """from decimal import Decimal

from hilum.plugins import Result
from hilum.plugins.testing import assert_measurement_kind_conforms, assert_plugin_conforms
from {module} import PLUGIN
from {module}.hooks import KIND, work_out


def test_it_keeps_to_the_plugin_interface() -> None:
    assert_plugin_conforms(PLUGIN)
    samples = [{{"before": Decimal(100), "after": Decimal(after)}} for after in ("0", "99.9", "105.4", "250")]
    assert_measurement_kind_conforms(KIND, samples)


def test_it_reckons_the_change_of_mass() -> None:
    worked_out = work_out({{"before": Decimal(100), "after": Decimal("105.44")}})
    assert worked_out.results == (Result("change", Decimal("5.4"), "%"),)
    assert worked_out.findings == ()


def test_it_asks_about_a_mass_that_has_doubled() -> None:
    [found] = work_out({{"before": Decimal(100), "after": Decimal(200)}}).findings
    assert (found.code, found.level) == ("doubled", "question")


def test_the_site_is_told_of_it(plugin_host) -> None:
    assert list(plugin_host(PLUGIN).measurement_kinds()) == ["{module}"]
""",
}


def write_template(slug: str, into: Path) -> Path:
    """Write a new package, and give its folder.

    Raises:
        CannotSwitch: the name will not do, or the folder is there already.
    """
    if not is_slug(slug):
        raise CannotSwitch(
            f"{slug!r} is no name of a plugin. Write lower case letters and digits with hyphens between them, "
            f"{LONGEST_SLUG} at most, such as soaking-test."
        )
    folder = into / slug
    if folder.exists():
        raise CannotSwitch(f"{folder} is there already. Name another, or another folder with --to.")
    major, _minor, _patch = read_version(API_VERSION)
    words = {
        "slug": slug, "module": slug.replace("-", "_"), "title": slug.replace("-", " ").capitalize(),
        "api": f">={API_VERSION.rpartition('.')[0]},<{major + 1}",
    }  # fmt: skip
    for name, text in _FILES.items():
        file = folder / name.format(**words)
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(_filled(text, words), encoding="utf-8")
    return folder


def _filled(text: str, words: dict[str, str]) -> str:
    """Put the words in; only names in braces that we know are replaced, so that code keeps its own braces."""
    for name, word in words.items():
        text = text.replace(f"{{{name}}}", word)
    return text.replace("{{", "{").replace("}}", "}")
