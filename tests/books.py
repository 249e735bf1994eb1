"""Mark each test that touches the books, so that a second engine is asked only what it could answer otherwise."""

import pytest
from django.test import TransactionTestCase

FIXTURES = {"db", "transactional_db", "live_server", "postgres_url", "postgres_server"}


def pytest_itemcollected(item: pytest.Item) -> None:
    """Mark a test `books` where it asks for a database, by mark, fixture or class."""
    if _asks_for_a_database(item):
        item.add_marker("books")


def _asks_for_a_database(item: pytest.Item) -> bool:
    of_class = getattr(item, "cls", None)
    return (
        item.get_closest_marker("django_db") is not None
        or bool(FIXTURES & set(getattr(item, "fixturenames", ())))
        or (of_class is not None and issubclass(of_class, TransactionTestCase))
    )
