"""Rows that were there before a change of tables, on whichever engine the tests run."""

from typing import Any

import pytest
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

from api.readings.models import DeviceChange, ReadingParse
from inventory.models.triggers import lay, lifted
from tests.make import NOW, house


def _migrated(*to: tuple[str, str]) -> Any:
    executor = MigrationExecutor(connection)
    return executor.migrate(list(to)).apps


@pytest.mark.django_db(transaction=True)
def test_readings_that_were_read_before_keep_what_was_read_and_get_their_station() -> None:
    plant, newest = house(), MigrationExecutor(connection).loader.graph.leaf_nodes("api")
    try:
        with lifted(connection):
            old = _migrated(("api", "0007_webhooks"))
        here = {"station_id": plant.station.pk, "by_id": plant.records.pk}
        device = old.get_model("api", "Device").objects.create(
            **here, code="s", name="Scale", driver="scale", unit="kg", made_at=NOW
        )
        reading = old.get_model("api", "Reading").objects.create(
            **here, device="s", reading="1", taken_at=NOW, received_at=NOW, raw="1 kg"
        )
        old.get_model("api", "ReadingParse").objects.create(
            reading=reading, device=device, driver="scale", at=NOW, values=[{"value": "1"}]
        )
        lay(connection)  # as they lie on books that are in use
    finally:
        _migrated(*newest)
        lay(connection)
    parse, change = ReadingParse.objects.get(), DeviceChange.objects.get()
    assert (parse.station, parse.number, parse.values) == (plant.station, 1, [{"value": "1"}])
    assert (change.name, change.unit, change.at, change.by) == ("Scale", "kg", NOW, plant.records)
