"""Readings and devices, by a program: keep what a balance sent, and enter the balance."""

from dataclasses import replace
from datetime import UTC, datetime
from http import HTTPStatus
from typing import Any

from django.db.models import Model
from django.urls import reverse
from rest_framework.request import Request
from rest_framework.response import Response

from api.readings.keeping import DeviceWords, ReadingWords, enter_device, keep_reading
from api.readings.models import ReadingParse
from api.v1.asked import asked, person_of, station_for
from api.v1.describing import ANY, Told, content, sends
from api.v1.listing import Things, as_json
from api.v1.shapes import row_shape, words_shape
from api.v1.shelf import Shelf
from api.v1.shelves import BY_NAME
from inventory.importing.words import WrongShape, fill
from inventory.rules.mistakes import Refused

DEVICES, READINGS = BY_NAME["devices"], BY_NAME["readings"]
DEVICE_EXAMPLE = {"code": "bench-scale", "driver": "scale", "name": "Scale at the bench", "unit": "kg"}
READING_EXAMPLE = {
    "device_id": "bench-scale", "reading_id": "000123", "taken_at": "2025-11-28T08:00:00Z", "kind": "gross",
    "raw": "ST,GS,+  12.42 lb",
}  # fmt: skip
ASIDE = (
    "It is kept aside and nothing was read in it: no driver reads {device} here. Enter the device with POST "
    "/api/v1/devices and a body such as {{code, driver, name, unit}}, or switch its driver's plugin on; what was kept "
    "is read then, or when it is sent again."
)


class Devices(Things):
    """Devices, and entering one."""

    shelf = DEVICES

    def post(self, request: Request) -> Response:
        """Enter one, which also reads what it sent before."""
        asked(request)
        words = fill(DeviceWords, dict(request.data))
        device, is_new = enter_device(
            words, station=station_for(request), by=person_of(request), now=datetime.now(UTC)
        )  # fmt: skip
        where = {"Location": request.build_absolute_uri(reverse("api-device", args=[device.code]))}
        return Response(_row(DEVICES, device), status=201 if is_new else 200, headers=where)

    @staticmethod
    def told(method: str) -> Told | None:
        """Describe entering one."""
        row = row_shape(DEVICES.columns)
        answers = {"201": content("it is entered", row), "200": content("it was entered before", row)}
        return sends("Enter a device", words_shape(DeviceWords), DEVICE_EXAMPLE, answers) if method == "POST" else None


class Readings(Things):
    """Readings, and sending one."""

    shelf = READINGS

    def post(self, request: Request) -> Response:
        """Keep one; the same again is answered as it was the first time, with 200."""
        asked(request)
        body = dict(request.data)
        sent = body.pop("values", None)
        words = _as_sent(fill(ReadingWords, body), body)
        reading, is_new = keep_reading(
            words, sent, station=station_for(request), by=person_of(request), now=datetime.now(UTC)
        )  # fmt: skip
        where = {"Location": request.build_absolute_uri(reverse("api-reading", args=[reading.uid]))}
        row = _row(READINGS, reading)
        if not ReadingParse.objects.filter(reading=reading).exists():
            row = {**row, "note": ASIDE.format(device=reading.device)}
            return Response(row, status=HTTPStatus.ACCEPTED, headers=where)
        return Response(row, status=201 if is_new else 200, headers=where)

    @staticmethod
    def told(method: str) -> Told | None:
        """Describe sending one."""
        if method != "POST":
            return None
        body = words_shape(ReadingWords)
        body["properties"]["values"] = {"type": ["object", "null"], "description": "what the sender read in it itself"}
        body["properties"]["raw"] = {**body["properties"]["raw"], "type": "string"}
        answers = {
            "201": content("it is kept and was read; `unread` says why where it could not be", ANY),
            "200": content("it was kept before", ANY),
            "202": content("it is kept aside: nobody entered its device; `note` says how", ANY),
        }
        return sends("Send a reading", body, READING_EXAMPLE, answers)


def _as_sent(words: ReadingWords, body: dict[str, Any]) -> ReadingWords:
    """Keep the blanks around a text as they came.

    Raises:
        Refused: it is no text.
    """
    raw = body.get("raw")
    if not isinstance(raw, str):
        raise Refused([WrongShape("raw", raw, "the text that the device sent")])
    return replace(words, raw=raw)


def _row(shelf: Shelf, row: Model) -> dict[str, Any]:
    rows = type(row)._default_manager.filter(pk=row.pk)
    return as_json(shelf.columns, rows.values_list(*(column.path for column in shelf.columns)).get())
