"""Every figure by its name: typed words in, the answer with its working out; nothing is stored."""

from typing import Any

from django.http import HttpResponse
from django.urls import reverse
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from api.problems import NotThere
from api.v1.asked import asked, person_of, station_for
from api.v1.conditions import unless_known
from grading.queries.answers import graded
from grading.queries.editions import rules_of
from grading.queries.figures import FIGURES, Figure, figure_of
from grading.queries.grades import sample_answer
from grading.queries.in_force import named_rule_set
from inventory.importing.telling import tell
from inventory.importing.words import fill
from inventory.queries.today import today_at
from inventory.rules.mistakes import Mistake


class Figures(APIView):
    """All figures."""

    def get(self, request: Request) -> HttpResponse:
        """List every figure: what it answers, what it asks for, an example that works."""
        asked(request)
        told = [_told(figure, request) for _name, figure in sorted(FIGURES.items())]
        return unless_known(request, {"results": told})


class WorkOut(APIView):
    """One figure, by its name in the address."""

    scope = "read"  # posted only because questions are long: nothing is kept
    figure = ""

    def post(self, request: Request, figure: str = "") -> Response:
        """Work it out."""
        asked(request)
        try:
            found = figure_of(figure or self.figure)
        except Mistake as unknown:
            raise NotThere(unknown) from None
        words = fill(found.asks, dict(request.data))
        station = station_for(request) if found.reads_books or found.knows_own_rules else None
        return Response(found.work_out(words, station).as_json)


class OutcomeOf(APIView):
    """The grade of a portion that is sent and not stored."""

    scope = "read"

    def post(self, request: Request) -> Response:
        """Grade it by an edition of this station or one that comes with the app, as `manage.py grade -` does."""
        asked(request)
        station = station_for(request)
        known, today = rules_of(station), today_at(station)
        return Response(graded(dict(request.data), lambda wanted: named_rule_set(wanted, today, known)))


class SampleOutcome(APIView):
    """The grade of a sample in the books."""

    def get(self, request: Request, name: str) -> HttpResponse:
        """Answer it, under the rule set it was graded by or another; a blind re-grade's is hidden from graders."""
        wanted = asked(request, "rule_set")["rule_set"]
        return unless_known(request, sample_answer(station_for(request), name, wanted, person=person_of(request)))


def figure_slug(name: str) -> str:
    """Write a figure's name as it stands in an address: "seed weight" -> "seed-weight"."""
    return name.replace(" ", "-")


def _told(figure: Figure, request: Request) -> dict[str, Any]:
    return {
        "figure": figure.name,
        "url": request.build_absolute_uri(reverse("api-figure", args=[figure_slug(figure.name)])),
        "tells": figure.tells,
        "fields": dict(tell(figure.asks)),
        "example": dict(figure.example),
    }
