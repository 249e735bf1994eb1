"""The inventory app: what seed there is and how it came."""

from typing import Any

from django.apps import AppConfig
from django.db.models.signals import post_migrate


class InventoryConfig(AppConfig):
    """Registers the inventory and lays the append-only triggers after every migrate."""

    name = "inventory"

    def ready(self) -> None:
        """Ask Django to call us after each migrate: it is the one moment when a rebuilt table lost its triggers."""
        post_migrate.connect(lay_triggers, dispatch_uid="inventory.lay_triggers")


def lay_triggers(using: str, **_kwargs: Any) -> None:
    """Lay the append-only triggers on the database that was just migrated."""
    from django.db import connections  # noqa: PLC0415 - models are not ready when this module is read

    from inventory.models import triggers  # noqa: PLC0415 - the same

    triggers.lay(connections[using])
