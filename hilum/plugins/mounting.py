"""Takes a plugin's addresses into those of the site, each view behind a guard of ours."""

from collections.abc import Callable, Iterator, Sequence
from importlib import import_module
from typing import Any

from django.urls import URLPattern, URLResolver, path

from hilum.plugins.host import the_host
from hilum.plugins.installed import in_words
from hilum.plugins.plugin import Plugin

View = Callable[..., Any]
Route = URLPattern | URLResolver


def patterns_of(slug: str, module: str, guard: Callable[[View], View]) -> list[Route]:
    """Read the addresses of a module of a plugin.

    Args:
        guard: wraps each view.
    """
    return [_behind(one, guard, slug) for one in import_module(module).urlpatterns]


def mounted(plugin: Plugin, module: str, start: str, guard: Callable[[View], View]) -> Iterator[Route]:
    """Mount the addresses of a plugin's module; if it cannot be read now, the plugin is left out and all else stands.

    Args:
        start: what its addresses begin with.
        guard: wraps each view.
    """
    try:
        patterns = patterns_of(plugin.slug, module, guard)
        yield path(start, (patterns, None, None))
    except Exception as error:
        the_host().leave_out(plugin.slug, f"its addresses could not be loaded ({in_words(error)})")


def views_of(module: str) -> Iterator[View]:
    """Name every view of a module's addresses."""
    yield from _views(import_module(module).urlpatterns)


def _views(patterns: Sequence[Route]) -> Iterator[View]:
    for one in patterns:
        if isinstance(one, URLResolver):
            yield from _views(one.url_patterns)
        else:
            yield one.callback


def _behind(one: Route, guard: Callable[[View], View], slug: str) -> Route:
    if isinstance(one, URLResolver):
        inner = [_behind(each, guard, slug) for each in one.url_patterns]
        return URLResolver(one.pattern, inner, one.default_kwargs, one.app_name, one.namespace)
    name = f"x-{slug}-{one.name}" if one.name else None
    return URLPattern(one.pattern, guard(one.callback), one.default_args, name)
