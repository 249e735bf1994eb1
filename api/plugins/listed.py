"""`GET /api/v1/plugins`: which plugins the site started with, and which it left out and why."""

from collections.abc import Iterator, Mapping
from typing import Any

from django.conf import settings
from django.http import HttpResponse
from rest_framework.request import Request
from rest_framework.views import APIView

from api.v1.asked import asked, station_for
from api.v1.conditions import unless_known
from hilum.plugins import API_VERSION, Plugin
from hilum.plugins.host import the_host
from hilum.plugins.starting import Started
from inventory.queries.plugin_settings import told_settings

_TEXT, _TEXTS = {"type": "string"}, {"type": "array", "items": {"type": "string"}}
_PLUGIN = {
    "type": "object",
    "properties": {
        "plugin": _TEXT, "title": {"type": ["string", "null"]}, "version": {"type": ["string", "null"]},
        "state": {"type": "string", "description": "on, or left out; more may come"},
        "says": {**_TEXTS, "description": "why it was left out, and what of it is not asked any more"},
        "off_at": {**_TEXTS, "description": "stations at which it is off"},
        "settings": {
            "type": "array", "items": {"type": "object"},
            "description": "what can be set at this station, and what holds; a secret only says whether it is set",
        },
        "routes": {"type": ["string", "null"], "description": "where its own addresses begin"},
    },
    "required": ["plugin", "title", "version", "state", "says", "off_at", "settings", "routes"],
}  # fmt: skip


class Plugins(APIView):
    """The plugins of packages that were switched on."""

    @staticmethod
    def told(_method: str) -> dict[str, Any]:
        """Describe it."""
        answer = {
            "type": "object",
            "properties": {
                "interface": {**_TEXT, "description": "version of the plugin interface"},
                "safe_mode": {"type": "boolean", "description": "the site was started without any"},
                "results": {"type": "array", "items": _PLUGIN},
            },
            "required": ["interface", "safe_mode", "results"],
        }
        content = {"application/json": {"schema": answer}}
        return {
            "summary": "Plugins: which are on, which were left out and why",
            "responses": {"200": {"description": "what there is", "content": content}},
        }

    def get(self, request: Request) -> HttpResponse:
        """List them, in the order in which they are asked."""
        asked(request)
        station = station_for(request).code
        started: Started = settings.HILUM_STARTED
        here = request.build_absolute_uri("/api/v1/x/")
        results = [*(_on(plugin, started, here, station) for plugin in started.plugins), *_left_out(started)]
        body = {"interface": API_VERSION, "safe_mode": started.is_safe_mode, "results": results}
        return unless_known(request, body)


def _on(plugin: Plugin, started: Started, here: str, station: str) -> Mapping[str, Any]:
    failed = [one.says for one in the_host().quarantined() if one.plugin == plugin.slug]
    return {
        "plugin": plugin.slug, "title": plugin.title, "version": plugin.version,
        "state": "left out" if failed else "on",
        "says": [*failed, *(one.says for one in the_host().suspended() if one.plugin == plugin.slug)],
        "off_at": list(started.off_at.get(plugin.slug, ())),
        "settings": told_settings(plugin, station) if plugin.settings_schema else [],
        "routes": f"{here}{plugin.slug}/" if plugin.routes else None,
    }  # fmt: skip


def _left_out(started: Started) -> Iterator[Mapping[str, Any]]:
    for one in started.left_out:
        yield {
            "plugin": one.plugin, "title": None, "version": None, "state": "left out", "says": [one.says],
            "off_at": list(started.off_at.get(one.plugin, ())), "settings": [], "routes": None,
        }  # fmt: skip
