"""The inventory app."""

from django.apps import AppConfig


class InventoryConfig(AppConfig):
    """Registers inventory with Django."""

    name = "inventory"
