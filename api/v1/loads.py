"""Sheets that were saved, and taking one back whole."""

from dataclasses import dataclass
from typing import Any

from django.http import HttpResponse
from django.urls import reverse
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from api.problems import NotThere
from api.v1.asked import REPLAYED, asked, key_of, person_of, station_for
from api.v1.conditions import unless_known
from api.v1.listing import as_json
from api.v1.shelves import BY_NAME
from api.v1.values import instant
from inventory.actions.loading import unload
from inventory.importing.words import fill
from inventory.models import Command, Load
from inventory.queries.loads import find_load
from inventory.rules.mistakes import Mistake

SHELF = BY_NAME["loads"]


@dataclass(frozen=True, kw_only=True)
class Why:
    """Why a load is taken back."""

    reason: str = ""


class OneLoad(APIView):
    """One load."""

    def get(self, request: Request, name: str) -> HttpResponse:
        """Answer it with the answers it was saved with; its acts are /api/v1/operations?load=L1."""
        asked(request)
        load = _found(request, name)
        rows = SHELF.rows(load.station, load.by).filter(pk=load.pk)
        row = as_json(SHELF.columns, rows.values_list(*(column.path for column in SHELF.columns)).get())
        return unless_known(request, {**row, "answers": load.answers})


class Unload(APIView):
    """Taking a load back."""

    def post(self, request: Request, name: str) -> HttpResponse:
        """Reverse every act of it, or none; the same Idempotency-Key is one effect and the same answer."""
        asked(request)
        load, key, why = _found(request, name), key_of(request), fill(Why, dict(request.data))
        is_again = Command.objects.filter(station=load.station, key=key).exists()
        booked = unload(load, station=load.station, by=person_of(request), reason=why.reason, key=key)
        told = {"load": str(load), "file_name": load.file_name, "reversed": len(booked.operations)}
        return Response(told, status=201, headers={REPLAYED: "true"} if is_again else {})


def load_json(load: Load) -> dict[str, Any]:
    """Give what never changes of a load."""
    return {
        "load": str(load), "kind": load.kind, "file_name": load.file_name, "sha256": load.sha256, "rows": load.rows,
        "by": load.by.get_username(), "loaded_at": instant(load.loaded_at),
    }  # fmt: skip


def load_address(request: Request, load: Load) -> str:
    """Say where a load is read."""
    return request.build_absolute_uri(reverse("api-load", args=[str(load)]))


def _found(request: Request, name: str) -> Load:
    try:
        return find_load(station_for(request), name)
    except Mistake as unknown:
        raise NotThere(unknown) from None
