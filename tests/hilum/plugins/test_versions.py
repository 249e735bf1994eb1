"""Which versions of the plugin interface a range holds."""

import pytest

from hilum.plugins.plugin import Plugin, faults_of
from hilum.plugins.versions import API_VERSION, is_within


@pytest.mark.parametrize(
    ("wanted", "version", "expected"),
    [
        (">=1.0,<2", "1.0.0", True),
        (">=1.0,<2", "1.99.3", True),
        (">=1.0,<2", "2.0.0", False),
        (">=1.0,<2", "0.9.9", False),
        ("==1.2", "1.2.0", True),
        ("!=1.2", "1.2.0", False),
        (">1.9", "1.10", True),  # numbers, not texts
        ("<=1.2.3", "1.2.4", False),
        (" >= 1 , < 2 ", "1.5", True),
    ],
)
def test_a_range_holds_what_every_part_of_it_holds(wanted: str, version: str, expected: bool) -> None:
    assert is_within(wanted, version) is expected


@pytest.mark.parametrize("wanted", ["", "1.0", "~=1.0", ">=1.0,", ">=1.0.0.0", ">=01", "latest", ">=1.x"])
def test_a_range_that_cannot_be_read_is_said_to_be_so(wanted: str) -> None:
    with pytest.raises(ValueError, match="is no"):
        is_within(wanted, "1.0")


def described(**more: str) -> Plugin:
    return Plugin(**{"slug": "lamp", "title": "Lamp", "version": "1", "api": f"=={API_VERSION}", **more})


@pytest.mark.parametrize(
    ("plugin", "fault"),
    [
        (described(api=">=99"), "it is written for the plugin interface >=99; here is"),
        (described(api="new"), "the range of its plugin interface cannot be read"),
        (described(slug="Lamp"), "its slug 'Lamp' is not lower case"),
        (described(slug="lamp-"), "its slug 'lamp-' is not lower case"),
        (described(slug="bulb"), "it calls itself bulb; its entry point must have the same name"),
        (7, "its entry point names a int"),
    ],
)
def test_a_plugin_that_does_not_fit_says_why(plugin: object, fault: str) -> None:
    [said] = faults_of(plugin, "lamp")
    assert said.startswith(fault)


def test_a_plugin_that_fits_has_no_fault() -> None:
    assert list(faults_of(described(), "lamp")) == []
    assert described(slug="soaking-test").label == "px_soaking_test"
