"""Readings, by a program: keep what a balance sent, and have it read again."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from http import HTTPStatus
from typing import Any

from django.http import HttpResponse
from django.urls import reverse
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from api.device_keys import must_be_its_own
from api.readings.device_views import MOST_TOLD
from api.readings.keeping import ReadingWords, keep_reading
from api.readings.models import Device, Reading, ReadingParse
from api.readings.parsing import MOST_AT_ONCE, DeviceEnded, read_again, read_many_again
from api.v1.asked import asked, key_sent, person_of, station_for
from api.v1.conditions import unless_known
from api.v1.cursors import Cursor, read_cursor, write_cursor
from api.v1.described import told_filters
from api.v1.describing import ANY, Told, as_known, content, query, reads, sends
from api.v1.listing import OneThing, Things, filtered, narrowing, row_as_json, row_with_uid
from api.v1.shapes import Shape, row_shape, words_shape
from api.v1.shelves import BY_NAME
from api.v1.values import instant
from inventory.importing.words import WrongShape, fill
from inventory.rules.mistakes import Refused

SHELF = BY_NAME["readings"]
EXAMPLE = {
    "device_id": "bench-scale", "reading_id": "000123", "taken_at": "2025-11-28T08:00:00Z", "kind": "gross",
    "raw": "ST,GS,+  12.42 lb",
}  # fmt: skip
ASIDE = (
    "It is kept aside and nothing was read in it: no driver reads {device} here. Enter the device with POST "
    "/api/v1/devices and a body such as {{code, driver, name, unit}}, or switch its driver's plugin on; what was kept "
    "is read then, or when it is sent again."
)
_EARLIER: Shape = {
    "type": "array", "description": "what was read in it before, the newest hundred; `values` counts",
    "items": {"type": "object"},
}  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Nothing:
    """Nothing is asked for."""


class Readings(Things):
    """Readings, and sending one."""

    shelf = SHELF

    def post(self, request: Request) -> Response:
        """Keep one; the same again is answered as it was the first time, with 200."""
        asked(request)
        body = dict(request.data)
        sent = body.pop("values", None)
        words = _as_sent(fill(ReadingWords, body), body)
        must_be_its_own(key_sent(request), words.device_id)
        reading, is_new = keep_reading(
            words, sent, station=station_for(request), by=person_of(request), now=datetime.now(UTC)
        )  # fmt: skip
        where = {"Location": request.build_absolute_uri(reverse("api-reading", args=[reading.uid]))}
        row = row_as_json(request, SHELF, reading)
        if not ReadingParse.objects.filter(reading=reading).exists():
            return Response({**row, "note": _why_aside(reading)}, status=HTTPStatus.ACCEPTED, headers=where)
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
            "202": content("it is kept aside: nobody entered its device, or it was ended; `note` says how", ANY),
        }
        return sends("Send a reading", body, EXAMPLE, answers)


class OneReading(OneThing):
    """One reading, with what was read in it before."""

    shelf = SHELF

    def more(self, request: Request, name: str) -> Mapping[str, Any]:
        """Give what was read in it before (2 queries)."""
        return {} if request.query_params.get("fields") else {"earlier": _earlier(row_with_uid(request, SHELF, name))}

    @staticmethod
    def told(_method: str) -> Told:
        """Describe it."""
        return as_known(reads("One reading", _whole_row(), query("fields", "only these, with commas")))


class ReadAgain(APIView):
    """A reading that is read again."""

    def post(self, request: Request, name: str) -> HttpResponse:
        """Have it read by its device's driver as both are now; its text stays, and what was read before."""
        asked(request)
        fill(Nothing, dict(request.data))
        reading: Reading = row_with_uid(request, SHELF, name, "station")
        read_again(reading, by=person_of(request), now=datetime.now(UTC))
        return unless_known(request, {**row_as_json(request, SHELF, reading), "earlier": _earlier(reading)})

    @staticmethod
    def told(_method: str) -> Told:
        """Describe it."""
        answer = {"200": content("as it is read now", _whole_row())}
        return sends("Have a reading read again", words_shape(Nothing), {}, answer)


class ReadManyAgain(APIView):
    """Readings that are read again."""

    def post(self, request: Request) -> Response:
        """Have those that the filters leave read again, some at once; `next` goes on."""
        cursor = read_cursor(asked(request, "cursor", *narrowing(SHELF))["cursor"])
        fill(Nothing, dict(request.data))
        found = filtered(SHELF, request)
        found = found.filter(pk__lt=cursor.key) if cursor else found
        came = read_many_again(
            found, station=station_for(request), by=person_of(request), now=datetime.now(UTC)
        )  # fmt: skip
        told = {"looked_at": came.looked_at, "changed": came.changed, "aside": came.aside}
        return Response({**told, "next": _address_behind(request, came.last)})

    @staticmethod
    def told(_method: str) -> Told:
        """Describe it."""
        number = {"type": "integer"}
        shape: Shape = {
            "type": "object",
            "properties": {
                "looked_at": number, "changed": {**number, "description": "read otherwise than before"},
                "aside": {**number, "description": "nothing could read them now"},
                "next": {"type": ["string", "null"], "description": "where to send the same for those behind them"},
            },
            "required": ["looked_at", "changed", "aside", "next"],
        }  # fmt: skip
        answer = {"200": content(f"what came of it, of at most {MOST_AT_ONCE} readings", shape)}
        cursor = query("cursor", "where to go on: follow `next`")
        return sends(
            "Have readings read again: those that the list has under the same filters", words_shape(Nothing), {},
            answer, cursor, *told_filters(SHELF),
        )  # fmt: skip


def _address_behind(request: Request, last: Reading | None) -> str | None:
    if last is None:
        return None
    words = request.query_params.copy()
    words["cursor"] = write_cursor(Cursor(last.pk))
    return f"{request.build_absolute_uri(request.path)}?{words.urlencode()}"


def _why_aside(reading: Reading) -> str:
    ended = Device.objects.filter(station=reading.station_id, code=reading.device, ended_at__isnull=False).first()
    return DeviceEnded(ended).says if ended else ASIDE.format(device=reading.device)


def _as_sent(words: ReadingWords, body: dict[str, Any]) -> ReadingWords:
    """Keep the blanks around a text as they came.

    Raises:
        Refused: it is no text.
    """
    raw = body.get("raw")
    if not isinstance(raw, str):
        raise Refused([WrongShape("raw", raw, "the text that the device sent")])
    return replace(words, raw=raw)


def _whole_row() -> Shape:
    row = row_shape(SHELF.columns)
    row["properties"]["earlier"] = _EARLIER
    return row


def _earlier(reading: Reading) -> list[dict[str, Any]]:
    return [
        {"driver": one.driver, "values": one.values, "unread": one.unread, "read_at": instant(one.at)}
        for one in reading.parses.order_by("-number")[1 : MOST_TOLD + 1]
    ]
