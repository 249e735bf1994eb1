"""A plugin's addresses are not there at a station at which it is off."""

from http import HTTPStatus
from typing import Any

from django.contrib.auth.models import User
from rest_framework.exceptions import APIException
from rest_framework.permissions import BasePermission
from rest_framework.request import Request

from api.models import Token
from api.plugins.addresses import plugin_of
from hilum.plugins.host import the_host
from inventory.models import Station
from inventory.queries.signing_in import station_of


class OffHere(APIException):
    """The plugin is off at the station of whoever asks: said as where there is nothing."""

    status_code = HTTPStatus.NOT_FOUND


class PluginIsOn(BasePermission):
    """Holds an address against the switches of plugins."""

    def has_permission(self, request: Request, view: Any) -> bool:  # noqa: ARG002 - the framework's signature
        """Let through whatever belongs to no plugin, or to one that is on."""
        plugin = plugin_of(request.path)
        station = _station_of(request) if plugin else None
        if station is not None and not the_host().is_on(plugin, station.code):
            raise OffHere(f"There is nothing to {request.method} at {request.path}. What there is stands at /api/v1.")
        return True


def _station_of(request: Request) -> Station | None:
    """Find the station of whoever asks: that of the key, which may be one of several at which its account works."""
    if isinstance(request.auth, Token) and request.auth.station is not None:
        return request.auth.station
    return station_of(request.user)[0] if isinstance(request.user, User) else None
