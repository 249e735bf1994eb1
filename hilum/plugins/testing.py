"""For the tests of a plugin: `pytest_plugins = ["hilum.plugins.testing"]` in its conftest.py brings the fixtures.

The checks below hold what a plugin brings against what the site relies on; each raises an AssertionError that says what
to mend. None of them needs a database.
"""

from collections.abc import Callable, Mapping, Sequence
from importlib import import_module
from typing import Any

import pytest

from hilum.plugins.answers import facts_of_lots
from hilum.plugins.driving import ReadingUnread, parsed
from hilum.plugins.facts import (
    ActAhead,
    DeviceDriver,
    DeviceReading,
    MeasuredValue,
    MeasurementKind,
    Panel,
    PaperForm,
    PaperText,
    SheetFinding,
    SheetKind,
    SheetRow,
    Veto,
    WorkedOut,
)
from hilum.plugins.host import Host
from hilum.plugins.plugin import Plugin, faults_of, is_slug

LOT = "24-0016-5"  # a lot number as the site writes it
_NAME_SAYS = "is not lower case letters and digits with underscores"


def host_with(plugin: Plugin) -> Host:
    """Give a host that holds one plugin and lets its exceptions through."""
    sources = [(plugin.slug, lambda: import_module(plugin.hooks))] if plugin.hooks else []
    host = Host(sources, raising=True)
    assert host.quarantined() == (), host.quarantined()[0].says
    return host


@pytest.fixture
def plugin_host() -> Callable[[Plugin], Host]:
    """Give what makes a host with one plugin: `plugin_host(PLUGIN).lot_panels("24-0016-5", "QM")`."""
    return host_with


@pytest.fixture
def act_ahead() -> Callable[..., ActAhead]:
    """Give what makes an act that is about to be written: `act_ahead("sow")`."""
    return _act


def assert_plugin_conforms(plugin: Plugin) -> None:
    """Hold what a plugin says of itself, and its hooks, against the interface; modules that it names must be there."""
    faults = list(faults_of(plugin, plugin.slug))
    assert not faults, faults
    host_with(plugin)


def assert_measurement_kind_conforms(kind: MeasurementKind, samples: Sequence[Mapping[str, MeasuredValue]]) -> None:
    """Hold a way to measure against its promises.

    Args:
        samples: values as they may be typed, already read; each must be reckoned without a fault.
    """
    _assert_name(kind.name)
    names = [field.name for field in kind.fields]
    assert len(names) == len(set(names)), f"two fields are called alike: {names}"
    taken = [name for name in names if name in ("lot", "at", "reason", "key", "answers")]
    assert not taken, f"the site has fields of its own called {taken}"
    for name in names:
        _assert_name(name)
    for values in samples:
        assert set(values) <= set(names), f"{set(values) - set(names)} are no fields"
        once, twice = kind.work_out(dict(values)), kind.work_out(dict(values))
        assert isinstance(once, WorkedOut), f"a {type(once).__name__} where a WorkedOut is promised"
        _assert_findings(once, names)
        assert once == twice, f"the same values gave {once} and {twice}: work_out must be pure"


def assert_driver_conforms(
    driver: DeviceDriver, samples: Mapping[str, Sequence[DeviceReading]], unread: Sequence[str] = ()
) -> None:
    """Hold a driver against its promises, and against whatever else a line may carry.

    Args:
        samples: text of the device -> what must be read of it.
        unread: texts that must be refused.
    """
    assert is_slug(driver.name), f"{driver.name!r} is not lower case letters and digits with hyphens"
    for text, expected in samples.items():
        found = parsed(driver, text)
        assert found == tuple(expected), f"{text!r} reads {found} and not {tuple(expected)}"
        for reading in found:
            _assert_name(reading.quantity)
    for text in (*unread, "", "\0", "\ufffd" * 40, "9" * 5000, "NaN", "inf"):
        try:
            found = parsed(driver, text)
        except ReadingUnread as said:
            _assert_sentence(str(said))
        else:
            assert text not in unread and all(one.value.is_finite() for one in found), f"{text[:40]!r} reads {found}"


def assert_sheet_kind_conforms(kind: SheetKind, rows: Sequence[Mapping[str, str]], station: str = "QM") -> None:
    """Hold a kind of sheet against its promises; nothing is saved.

    Args:
        rows: values of some rows, by the names of the columns.
    """
    _assert_name(kind.name)
    columns = [column.name for column in kind.columns]
    assert columns, "a sheet needs columns"
    assert all(column.headings for column in kind.columns), "each column needs a heading for the template"
    given = [SheetRow(number, values) for number, values in enumerate(rows, 2)]
    for found in kind.check(given, station):
        assert isinstance(found, SheetFinding), f"a {type(found).__name__} where a SheetFinding is promised"
        assert found.row in {row.number for row in given}, f"row {found.row} was not shown"
        assert found.column in ("", *columns), f"{found.column!r} is no column"
        _assert_sentence(found.says)


def assert_panels_conform(panels: Sequence[Panel]) -> None:
    """Hold boxes of a lot's page against what the page draws."""
    for panel in panels:
        assert isinstance(panel, Panel), f"a {type(panel).__name__} where a Panel is promised"
        assert panel.title, "a box needs a title"
        assert all(len(row) == 2 for row in panel.rows), f"rows are pairs: {panel.rows}"
        assert all(post.limit is None or post.limit > 0 for post in panel.posts), "a limit is over 0"


def assert_facts_conform(facts: Any, lot_numbers: Sequence[str]) -> None:
    """Hold facts of lots against what lists show: texts, of lots that were asked for."""
    assert set(facts_of_lots(facts)) <= set(lot_numbers), "facts of a lot that was not asked for"
    for each in facts.values():
        for name, text in each.items():
            _assert_name(name)
            assert isinstance(text, str), f"{name} is a {type(text).__name__}; facts are texts"


def assert_paper_form_conforms(form: PaperForm, lot: str = LOT, station: str = "QM", person: str = "bench") -> None:
    """Hold a paper against what the site can lay out."""
    text = form.write(lot, station, person)
    assert isinstance(text, PaperText), f"a {type(text).__name__} where a PaperText is promised"
    assert text.title, "a paper needs a title"
    for part in text.parts:
        assert all(len(row) == len(part.columns) for row in part.rows), f"a row is not as wide as {part.columns}"


def assert_veto_conforms(veto: Callable[..., Sequence[Veto]], kinds: Sequence[str], station: str = "QM") -> None:
    """Hold a veto against acts of some kinds, shown one by one and all at once; and an act of no lot."""
    shown = [_act(kind) for kind in kinds]
    for acts in (*([one] for one in shown), shown, [_act("rename", ())]):
        for found in veto(acts, station):
            assert isinstance(found, Veto), f"a {type(found).__name__} where a Veto is promised"
            assert 0 <= found.act < len(acts), f"act {found.act} was not shown"
            _assert_sentence(found.says)


def _act(kind: str = "move", lots: tuple[str, ...] = (LOT,)) -> ActAhead:
    return ActAhead(kind, "bench", "2024-11-05T12:00:00+00:00", "", lots, ())


def _assert_findings(worked_out: WorkedOut, names: Sequence[str]) -> None:
    for result in worked_out.results:
        assert result.value.is_finite(), f"{result.name} is no number"
    for found in worked_out.findings:
        assert found.field in ("", *names), f"{found.field!r} is no field"
        _assert_name(found.code)
        _assert_sentence(found.says)


def _assert_name(name: str) -> None:
    is_name = name.isidentifier() and name.isascii() and name == name.lower()
    assert is_name, f"{name!r} {_NAME_SAYS}"


def _assert_sentence(says: str) -> None:
    assert says.endswith((".", "?")) and " " in says, f"{says!r} is no full sentence"
