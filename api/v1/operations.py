"""One act with all that it wrote, and the machines that a run may name."""

from collections.abc import Mapping
from typing import Any

from django.http import HttpResponse
from rest_framework.request import Request
from rest_framework.views import APIView

from api.feed.following import acts_after
from api.v1.asked import asked, person_of, station_for
from api.v1.conditions import unless_known
from api.v1.listing import OneThing
from inventory.models import Operation
from inventory.rules.reading import uid_in
from inventory.rules.runs import MACHINES

_SAID = ("name", "about", "withheld", "touched", "entries", "facts")


class OneOperation(OneThing):
    """One act."""

    def get(self, request: Request, name: str) -> HttpResponse:
        """Answer it by its number, or by its id, which a shipment and a run bear too."""
        uid = uid_in(name)
        acts = Operation.objects.filter(station=station_for(request), uid=uid) if uid else Operation.objects.none()
        number = acts.values_list("seq", flat=True).first()
        return super().get(request, name if number is None else str(number))

    def more(self, request: Request, name: str) -> Mapping[str, Any]:
        """Give its masses, what it touched and what was said with it, as the changes tell it (3 queries)."""
        if request.query_params.get("fields"):
            return {}
        told = acts_after(station_for(request), int(name) - 1, 1, person=person_of(request))[0].as_json
        return {part: told[part] for part in _SAID}


class Machines(APIView):
    """The machines of the line."""

    def get(self, request: Request) -> HttpResponse:
        """List each with what else people write for it; runs name them in the order of the line, joined with +."""
        asked(request)
        rows = [{"machine": name, "also": list(others)} for name, others in MACHINES.items()]
        return unless_known(request, {"results": rows, "next": None, "previous": None})
