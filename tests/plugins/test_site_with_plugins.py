"""A site with plugins of installed wheels: each test reads one run of it."""

from pathlib import Path

import pytest

from tests.plugins.site import Site
from tests.plugins.wheels import install_wheels


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Site:
    packages: Path = tmp_path_factory.mktemp("packages")
    install_wheels(packages, tmp_path_factory.mktemp("scratch"))
    made = Site(tmp_path_factory.mktemp("data"), packages)
    made.migrate()
    return made


def test_a_plugin_that_is_installed_and_not_enabled_does_nothing(site: Site) -> None:
    [told] = [one for one in site.json("plugins", "list")["plugins"] if one["slug"] == "soaking-test"]
    assert (told["state"], told["version"], told["title"]) == ("off", "1.2.0", "Soaking test")
    assert site.program("from hilum.plugins.host import the_host; print(json.dumps(the_host().names()))") == [
        "grading.plugin"
    ]


def test_a_plugin_that_is_enabled_answers_its_hooks(site: Site) -> None:
    said = site.run("plugins", "enable", "soaking-test")
    assert said.stdout.startswith("The plugin soaking-test 1.2.0 is on."), said.stderr
    panels = site.program(
        """
        from hilum.plugins.host import the_host
        print(json.dumps([[panel.title, panel.rows] for panel in the_host().lot_panels("24-0016-5", "QM")]))
        """
    )
    assert ["Soaking", [["Water taken up", "of 24-0016-5"]]] in panels
