"""What is offered here, made from the routes themselves, so that nothing is named that answers 404."""

from collections.abc import Iterable, Mapping
from typing import Any

from api.brapi.asked import Asked, read_query
from api.brapi.routes import JSON, Route

VERSIONS = ("2.1",)


def serverinfo_route(others: Iterable[Route]) -> Route:
    """Give the address that lists all others and itself."""
    listed: list[Route] = []

    def answer(asked: Asked) -> Mapping[str, Any]:
        read_query(asked, ("contentType", "dataType"))
        wanted = asked.one("contentType") or asked.one("dataType")
        calls = [call_of(route) for route in listed if not wanted or wanted in route.content_types]
        return {
            "serverName": "Hilum",
            "serverDescription": "Seed lots, where they came from, where they went, and how they grade.",
            "organizationName": asked.station.name,
            "documentationURL": asked.request.build_absolute_uri("/api/docs"),
            "calls": calls,
        }

    route = Route("serverinfo", answer, is_for_all=True)
    listed.extend(sorted([*others, route], key=lambda one: one.path))
    return route


def call_of(route: Route) -> dict[str, Any]:
    """Tell one address; the deprecated dataTypes goes along, since older clients read only that."""
    types = list(route.content_types or (JSON,))
    return {
        "service": route.path, "methods": route.methods, "versions": list(VERSIONS),
        "contentTypes": types, "dataTypes": types,
    }  # fmt: skip
