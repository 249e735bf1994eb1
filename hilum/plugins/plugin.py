"""What a plugin says of itself, before anything of it is loaded."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from hilum.plugins.settings_schema import faults_of_schema
from hilum.plugins.versions import API_VERSION, is_within

LONGEST_SLUG = 40
_SLUG = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")


@dataclass(frozen=True, kw_only=True)
class Plugin:
    """The plugin that a package brings; the package's entry point names this value.

    Modules are named and not imported here, so that a fault in one of them is found by the check and not by the site.

    Args:
        slug: its short name, lower case with hyphens; the entry point has the same name.
        title: what people call it.
        version: its own version.
        api: versions of the plugin interface that it was written for: ">=1.0,<2".
        hooks: module with its functions marked `@hookimpl`; "" for none.
        app: its Django app with models and migrations, by its package or AppConfig; its label is `label`. "" for none.
        routes: module with `urlpatterns` for `/api/v1/x/SLUG/`; "" for none.
        pages: module with `urlpatterns` for `/x/SLUG/`; "" for none.
        settings_schema: what can be set at each station, as JSON Schema (`docs/settings.md`); empty for nothing.
    """

    slug: str
    title: str
    version: str
    api: str
    hooks: str = ""
    app: str = ""
    routes: str = ""
    pages: str = ""
    settings_schema: Mapping[str, Any] = field(default_factory=dict)

    @property
    def label(self) -> str:
        """The label of its Django app, with which the names of its tables begin."""
        return label_of(self.slug)


def label_of(slug: str) -> str:
    """Give the label of a plugin's app: "soaking-test" -> "px_soaking_test"."""
    return f"px_{slug.replace('-', '_')}"


def is_slug(text: str) -> bool:
    """Say whether a text will do as the short name of a plugin."""
    return len(text) <= LONGEST_SLUG and bool(_SLUG.fullmatch(text))


def faults_of(plugin: object, named: str) -> Iterator[str]:
    """Name what keeps a plugin out that can be told by its own words, each as half a sentence.

    Args:
        plugin: what its entry point names.
        named: the name of the entry point.
    """
    if not isinstance(plugin, Plugin):
        yield f"its entry point names a {type(plugin).__name__}; let it name a hilum.plugins.Plugin"
        return
    if not is_slug(plugin.slug):
        yield f"its slug {plugin.slug!r} is not lower case letters and digits with hyphens, {LONGEST_SLUG} at most"
    elif plugin.slug != named:
        yield f"it calls itself {plugin.slug}; its entry point must have the same name"
    try:
        if not is_within(plugin.api):
            yield f"it is written for the plugin interface {plugin.api}; here is {API_VERSION}"
    except ValueError as error:
        yield f"the range of its plugin interface cannot be read: {error}"
    yield from faults_of_schema(plugin.settings_schema)
