"""Fixtures for all tests: PostgreSQL, append-only tables, how hard hypothesis tries."""

import os
from collections.abc import Iterator
from importlib import import_module
from importlib.util import find_spec
from unittest import mock
from uuid import uuid4

import psycopg
import pytest
from django.test import TransactionTestCase
from hypothesis import settings as hypothesis_settings

from tests.books import pytest_itemcollected  # noqa: F401 - pytest finds the hook in this module
from tests.flushing import without_triggers
from tests.in_ci import pytest_runtest_makereport  # noqa: F401 - as above
from tests.outside import pytest_collection_modifyitems, pytest_terminal_summary  # noqa: F401 - as above
from tests.postgres import BINARIES, binaries, private_server

# No deadline: two cores shared by two workers make single examples slow at random, which says nothing about us.
hypothesis_settings.register_profile("dev", max_examples=40, deadline=None)
hypothesis_settings.register_profile("ci", max_examples=100, deadline=None, print_blob=True)
# The second engine is asked whether its SQL does the same; the odd case of a rule was looked for on the first.
hypothesis_settings.register_profile("again", max_examples=50, deadline=None, print_blob=True)
hypothesis_settings.load_profile(
    os.environ.get("HYPOTHESIS_PROFILE") or ("ci" if os.environ.get("CI") == "true" else "dev")
)


@pytest.fixture(scope="session", autouse=True)
def append_only_tables_can_be_flushed() -> Iterator[None]:
    """Lift the ledger's triggers while a transactional test's tables are emptied."""
    if find_spec("inventory.models.triggers") is None:
        yield
        return
    triggers = import_module("inventory.models.triggers")
    flush = without_triggers(vars(TransactionTestCase)["_fixture_teardown"], triggers)
    with mock.patch.object(TransactionTestCase, "_fixture_teardown", flush):
        yield


@pytest.fixture(scope="session")
def postgres_server() -> Iterator[str]:
    """Give the address of a PostgreSQL server, without a database: DATABASE_URL's, else one of our own."""
    url = os.environ.get("DATABASE_URL")
    if url:
        yield url.partition("?")[0].rpartition("/")[0]
        return
    where = binaries()
    if where is None:
        pytest.skip(f"no PostgreSQL: DATABASE_URL is not set and there are no server binaries in {BINARIES} or on PATH")
    with private_server(where) as server:
        yield server


@pytest.fixture
def postgres_url(postgres_server: str) -> Iterator[str]:
    """Give the DATABASE_URL of an empty PostgreSQL database that is dropped afterwards; mark such tests `postgres`."""
    name = f"hilum_{uuid4().hex}"
    with psycopg.connect(f"{postgres_server}/postgres", autocommit=True) as door:
        door.execute(f"CREATE DATABASE {name}")
    yield f"{postgres_server}/{name}"
    with psycopg.connect(f"{postgres_server}/postgres", autocommit=True) as door:
        door.execute(f"DROP DATABASE {name} WITH (FORCE)")
