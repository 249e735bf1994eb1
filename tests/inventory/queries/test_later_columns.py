"""A column that a later release adds to a ledger table leaves the old acts whole, and is still watched there."""

from typing import Any

import pytest
from django.db import connection
from django.db.models import Model

from inventory.actions import contents
from inventory.models import Receipt
from inventory.models.triggers import lifted
from inventory.queries.verifying import verify
from tests.make import house, received

pytestmark = pytest.mark.django_db


@pytest.fixture
def written_before_the_tare_was_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let acts write as if `Receipt.tare_mg`, which is 0 by default, had not been there yet."""
    now = contents.row_columns

    def then(row: Model) -> dict[str, Any]:
        return {name: value for name, value in now(row).items() if (type(row), name) != (Receipt, "tare_mg")}

    monkeypatch.setattr(contents, "row_columns", then)


@pytest.mark.usefixtures("written_before_the_tare_was_kept")
def test_an_old_act_is_whole_while_the_new_column_holds_its_default() -> None:
    plant = house()
    received(plant)
    assert verify(plant.station).is_whole


@pytest.mark.usefixtures("written_before_the_tare_was_kept")
def test_an_edit_of_the_new_column_in_an_old_row_is_found() -> None:
    plant = house()
    received(plant)
    with lifted(connection):
        Receipt.objects.update(tare_mg=1)
    verdict = verify(plant.station)
    assert verdict.differences == ["receive #1 of 2024-09-24: its records are not those that were written."]
    assert verdict.chain == "broken at receive #1 of 2024-09-24"
