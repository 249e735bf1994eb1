"""The package that is written for authors, and the checks that they are given."""

import os
import subprocess
import sys
from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from hilum.plugins import (
    MeasurementField,
    MeasurementFinding,
    MeasurementKind,
    Panel,
    PaperForm,
    PaperPart,
    PaperText,
    Plugin,
    Result,
    SheetColumn,
    SheetFinding,
    SheetKind,
    Veto,
    WorkedOut,
    testing,
)
from hilum.plugins.switching import CannotSwitch
from hilum.plugins.template import write_template

ROOT = Path(__file__).resolve().parents[3]


def test_the_package_that_is_written_passes_its_own_tests(tmp_path: Path) -> None:
    folder = write_template("seed-colour", tmp_path)
    kept = {name: value for name, value in os.environ.items() if name not in ("DJANGO_SETTINGS_MODULE", "PYTHONPATH")}
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "-p", "no:xdist", "-p", "no:cov"],
        cwd=folder,
        env={**kept, "PYTHONPATH": os.pathsep.join([str(folder), str(ROOT)])},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert "4 passed" in done.stdout
    assert 'seed-colour = "seed_colour:PLUGIN"' in (folder / "pyproject.toml").read_text()


@pytest.mark.parametrize("name", ["Seed", "seed_colour", "", "-", "../seed", "s" * 41])
def test_a_name_that_will_not_do_writes_nothing(tmp_path: Path, name: str) -> None:
    with pytest.raises(CannotSwitch, match="is no name of a plugin"):
        write_template(name, tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_is_there_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "seed-colour").mkdir()
    with pytest.raises(CannotSwitch, match="is there already"):
        write_template("seed-colour", tmp_path)


def kind(work_out: Callable[[Mapping[str, Any]], Any], name: str = "soak", *fields: str) -> MeasurementKind:
    return MeasurementKind(name, "Soak", tuple(MeasurementField(one, one) for one in fields or ("dry",)), work_out)


def found(field: str = "dry", code: str = "odd", says: str = "It is odd. Is it right?") -> WorkedOut:
    return WorkedOut((Result("x", Decimal(1)),), (MeasurementFinding(code, field, "question", says),))


COUNTED: list[int] = []


def impure(_values: Mapping[str, Any]) -> WorkedOut:
    COUNTED.append(1)
    return WorkedOut((Result("x", Decimal(len(COUNTED))),))


@pytest.mark.parametrize(
    ("made", "says"),
    [
        (kind(lambda _: 7), "a int where a WorkedOut is promised"),
        (kind(impure), "work_out must be pure"),
        (kind(lambda _: found("wet")), "'wet' is no field"),
        (kind(lambda _: found(says="odd")), "'odd' is no full sentence"),
        (kind(lambda _: found(code="Odd one")), "'Odd one' is not lower case"),
        (kind(lambda _: WorkedOut((Result("x", Decimal("NaN")),))), "x is no number"),
        (kind(lambda _: WorkedOut(), "Soak"), "'Soak' is not lower case"),
        (kind(lambda _: WorkedOut(), "soak", "lot"), r"the site has fields of its own called \['lot'\]"),
        (kind(lambda _: WorkedOut(), "soak", "dry", "dry"), "two fields are called alike"),
    ],
)
def test_a_measurement_that_breaks_its_promises_is_told_what_to_mend(made: MeasurementKind, says: str) -> None:
    with pytest.raises(AssertionError, match=says):
        testing.assert_measurement_kind_conforms(made, [{made.fields[0].name: Decimal(1)}])
    testing.assert_measurement_kind_conforms(kind(lambda _: found()), [{"dry": Decimal(1)}, {}])


def sheet(*findings: Any) -> SheetKind:
    columns = (SheetColumn("lot", ("Lot",)),)
    return SheetKind("soaks", "soaks", columns, lambda rows, station: findings, lambda rows, station, by: ())


@pytest.mark.parametrize(
    ("finding", "says"),
    [
        (SheetFinding(9, "lot", "error", "Type it again."), "row 9 was not shown"),
        (SheetFinding(2, "bag", "error", "Type it again."), "'bag' is no column"),
        (SheetFinding(2, "lot", "error", "wrong"), "no full sentence"),
        ("wrong", "a str where a SheetFinding is promised"),
    ],
)
def test_a_sheet_that_breaks_its_promises_is_told_what_to_mend(finding: Any, says: str) -> None:
    with pytest.raises(AssertionError, match=says):
        testing.assert_sheet_kind_conforms(sheet(finding), [{"lot": "24-0016-5"}])
    testing.assert_sheet_kind_conforms(sheet(), [{"lot": "24-0016-5"}])


def test_boxes_facts_papers_and_vetoes_are_held_against_their_promises() -> None:
    with pytest.raises(AssertionError, match="a box needs a title"):
        testing.assert_panels_conform([Panel("", ())])
    with pytest.raises(AssertionError, match="facts are texts"):
        testing.assert_facts_conform({"24-0016-5": {"hydration": 205}}, ["24-0016-5"])
    with pytest.raises(AssertionError, match="was not asked for"):
        testing.assert_facts_conform({"24-0017-9": {}}, ["24-0016-5"])
    narrow = PaperText("Soaks", "", (PaperPart(columns=("a", "b"), rows=(("1",),)),))
    with pytest.raises(AssertionError, match="is not as wide as"):
        testing.assert_paper_form_conforms(PaperForm("soaks", "Soaks", lambda *_: narrow))

    def beyond(acts: Sequence[object], station: str) -> Sequence[Veto]:
        return [Veto(f"Not at {station}. Ask there.", len(acts))]

    with pytest.raises(AssertionError, match="act 1 was not shown"):
        testing.assert_veto_conforms(beyond, ["sow"])
    testing.assert_veto_conforms(lambda acts, station: [Veto("Not today. Wait.")], ["sow", "move"])


def test_a_plugin_whose_hooks_are_not_there_does_not_conform() -> None:
    plugin = Plugin(slug="lamp", title="Lamp", version="1", api=">=1.0,<2", hooks="no_such_module")
    with pytest.raises(AssertionError, match="No module named 'no_such_module'"):
        testing.assert_plugin_conforms(plugin)
