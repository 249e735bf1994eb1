from types import SimpleNamespace
from typing import Any

import pytest
from django.contrib.auth.models import Group

from tests.flushing import without_triggers

CASE = SimpleNamespace(databases=["default"])


def recorded(fails: bool = False) -> list[str]:
    seen: list[str] = []

    def flush(case: Any) -> None:
        seen.append("flush")
        if fails:
            raise RuntimeError("the table is locked")

    triggers: Any = SimpleNamespace(
        lift=lambda connection: seen.append("lift"), lay=lambda connection: seen.append("lay")
    )
    try:
        without_triggers(flush, triggers)(CASE)
    except RuntimeError:
        seen.append("raised")
    return seen


def test_triggers_are_lifted_for_a_flush_and_laid_again() -> None:
    assert recorded() == ["lift", "flush", "lay"]


def test_triggers_are_laid_again_when_the_flush_fails() -> None:
    assert recorded(fails=True) == ["lift", "flush", "lay", "raised"]


@pytest.mark.django_db(transaction=True)
def test_a_transactional_test_can_be_flushed() -> None:
    Group.objects.create(name="bench")
