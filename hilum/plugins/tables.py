"""What the tables of a plugin may lean on: its own, and those of ours that are named here."""

from collections.abc import Iterator

from django.apps import apps
from django.db.migrations.loader import MigrationLoader
from django.db.models import Model

from hilum.plugins.plugin import Plugin

# These and their primary keys stay; everything else of ours may change from one version to the next.
OPEN_TABLES = (
    "auth.User",
    "inventory.Cross",
    "inventory.Line",
    "inventory.Lot",
    "inventory.Operation",
    "inventory.Place",
    "inventory.Plot",
    "inventory.Station",
)


def faults_of_tables(plugin: Plugin) -> Iterator[str]:
    """Name what is wrong with a plugin's app, each as half a sentence; the apps must stand."""
    if not plugin.app:
        return
    config = next((one for one in apps.get_app_configs() if plugin.app in (one.name, _path_of(one))), None)
    if config is None or config.label != plugin.label:
        found = config.label if config else "none"
        yield f"its app has the label {found}; it must be {plugin.label}, so that its tables are known as its own"
        return
    for model in config.get_models(include_auto_created=True):
        for field in model._meta.get_fields():
            target = field.related_model if not field.auto_created and field.is_relation else None
            if isinstance(target, type) and not _is_open(target, plugin):
                yield f"{model.__name__}.{field.name} points at {target._meta.label}, which may change"
    if list(config.get_models()) and plugin.label not in MigrationLoader(None).migrated_apps:
        yield "it has models and no migrations"


def _is_open(model: type[Model], plugin: Plugin) -> bool:
    return model._meta.app_label == plugin.label or model._meta.label in OPEN_TABLES


def _path_of(config: object) -> str:
    return f"{type(config).__module__}.{type(config).__qualname__}"
