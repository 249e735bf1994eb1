"""Sites for the tests of this folder: the packages are built once, and the core's tables are made once."""

import shutil
from pathlib import Path

import pytest

from tests.plugins.site import Site
from tests.plugins.wheels import install_wheels


@pytest.fixture(scope="session")
def wheels(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give a folder with the example packages, installed from their wheels."""
    packages: Path = tmp_path_factory.mktemp("packages")
    install_wheels(packages, tmp_path_factory.mktemp("scratch"))
    return packages


@pytest.fixture(scope="session")
def core(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give a data folder with the tables of the core."""
    site = Site(tmp_path_factory.mktemp("core"), tmp_path_factory.mktemp("nothing"))
    site.migrate()
    return site.data


@pytest.fixture(scope="module")
def site(core: Path, wheels: Path, tmp_path_factory: pytest.TempPathFactory) -> Site:
    """Give a site of this module's own, with the example packages beside it."""
    folder = tmp_path_factory.mktemp("site")
    return Site(Path(shutil.copytree(core, folder / "data")), Path(shutil.copytree(wheels, folder / "packages")))
