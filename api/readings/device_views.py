"""Devices, by a program: enter a balance or meter, change it, end it."""

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from django.http import HttpResponse
from django.urls import reverse
from rest_framework.request import Request
from rest_framework.response import Response

from api.problems import NotThere
from api.readings.devices import DeviceOtherwise, DeviceWords, change_device, device_at, enter_device
from api.readings.models import Device
from api.v1.asked import asked, person_of, station_for
from api.v1.conditions import etag_of, must_match, unless_known
from api.v1.describing import Told, as_known, content, query, reads, seen, sends
from api.v1.listing import NothingNamed, OneThing, Things, row_as_json
from api.v1.shapes import Shape, row_shape, words_shape
from api.v1.shelves import BY_NAME
from api.v1.values import instant
from inventory.importing.words import fill
from inventory.rules.reading import uid_in

SHELF = BY_NAME["devices"]
EXAMPLE = {"code": "bench-scale", "driver": "scale", "name": "Scale at the bench", "unit": "kg"}
MOST_TOLD = 100
_CHANGES: Shape = {
    "type": "array", "description": "how it was from each moment on, the newest hundred", "items": {"type": "object"},
}  # fmt: skip


class Devices(Things):
    """Devices, and entering one."""

    shelf = SHELF

    def post(self, request: Request) -> Response:
        """Enter one, which also reads what it sent before."""
        asked(request)
        words = fill(DeviceWords, dict(request.data))
        device, is_new = enter_device(
            words, station=station_for(request), by=person_of(request), now=datetime.now(UTC)
        )  # fmt: skip
        where = {
            "Location": request.build_absolute_uri(reverse("api-device", args=[device.code])),
            "ETag": etag_of(_told(request, device)),
        }
        return Response(row_as_json(request, SHELF, device), status=201 if is_new else 200, headers=where)

    @staticmethod
    def told(method: str) -> Told | None:
        """Describe entering one."""
        row = row_shape(SHELF.columns)
        answers = {"201": content("it is entered", row), "200": content("it was entered before", row)}
        return sends("Enter a device", words_shape(DeviceWords), EXAMPLE, answers) if method == "POST" else None


class OneDevice(OneThing):
    """One device, with how it was before."""

    shelf = SHELF

    def more(self, request: Request, name: str) -> Mapping[str, Any]:
        """Give how it was from each moment on (2 queries)."""
        return {} if request.query_params.get("fields") else {"changes": _changes(_device(request, name))}

    def patch(self, request: Request, name: str) -> HttpResponse:
        """Change it, end it, or take it up again."""
        asked(request)
        device = change_device(
            _device(request, name), fill(DeviceOtherwise, dict(request.data)), by=person_of(request),
            now=datetime.now(UTC), seen=lambda now_so: must_match(request, _told(request, now_so)),
        )  # fmt: skip
        return unless_known(request, _told(request, device))

    @staticmethod
    def told(method: str) -> Told:
        """Describe each."""
        row = row_shape(SHELF.columns)
        row["properties"]["changes"] = _CHANGES
        if method == "GET":
            return as_known(reads("One device", row, query("fields", "only these, with commas")))
        return sends(
            "Change a device, end it, or take it up again", words_shape(DeviceOtherwise), {"name": "Scale at bench 2"},
            {"200": content("as it is now", row)}, seen(),
        )  # fmt: skip


def _device(request: Request, name: str) -> Device:
    station, uid = station_for(request), uid_in(name)
    by_id = Device.objects.filter(station=station, uid=uid).select_related("station").first() if uid else None
    found = by_id or device_at(name, station)
    if found is None:
        raise NotThere(NothingNamed(SHELF, name))
    return found


def _told(request: Request, device: Device) -> dict[str, Any]:
    return {**row_as_json(request, SHELF, device), "changes": _changes(device)}


def _changes(device: Device) -> list[dict[str, Any]]:
    return [
        {
            "at": instant(one.at), "by": one.by.get_username(), "name": one.name, "driver": one.driver,
            "unit": one.unit, "ended": one.is_ended,
        }
        for one in device.changes.select_related("by").order_by("-pk")[:MOST_TOLD]
    ]  # fmt: skip
