"""What every problem's `type` leads to: each code with what it says, for whoever writes a program."""

from collections.abc import Iterator
from http import HTTPStatus
from typing import Any

from django.http import HttpResponse
from rest_framework.request import Request
from rest_framework.views import APIView

from api.problems import ASKS, title_of, type_address
from api.unusable import NotThere
from api.v1.conditions import unless_known
from api.wording import OF_HTTP
from inventory.importing.words import UnknownWord
from inventory.rules.mistakes import Mistake


class ProblemTypes(APIView):
    """All problems."""

    authentication_classes = ()
    permission_classes = ()
    schema = None

    def get(self, request: Request, code: str = "") -> HttpResponse:
        """List them, or tell one; a link in an answer is read without a key."""
        types = problem_types()
        if not code:
            return unless_known(request, {"results": [_told(request, one, types[one]) for one in sorted(types)]})
        if code not in types:
            raise NotThere(UnknownWord("problem", code, list(types)))
        return unless_known(request, _told(request, code, types[code]))


def problem_types() -> dict[str, dict[str, Any]]:
    """Tell every code: what it means in one line for each thing that it is said of, and whether it asks."""
    told: dict[str, dict[str, Any]] = {
        status.name.lower(): {"title": title, "means": [title, todo], "asks": status is HTTPStatus.CONFLICT}
        for status, (title, todo) in OF_HTTP.items()
    }
    for kind in _kinds(Mistake):
        one = told.setdefault(kind.code, {"title": title_of(kind), "means": [], "asks": kind.level in ASKS})
        if (means := title_of(kind)) not in one["means"]:
            one["means"].append(means)
    return told


def kind_of(code: str) -> type[Mistake]:
    """Find a kind of mistake by its code; the plainest one where none has it here."""
    return next((kind for kind in _kinds(Mistake) if kind.code == code), Mistake)


def _kinds(kind: type[Mistake]) -> Iterator[type[Mistake]]:
    for one in kind.__subclasses__():
        yield one
        yield from _kinds(one)


def _told(request: Request, code: str, told: dict[str, Any]) -> dict[str, Any]:
    return {"code": code, "type": type_address(request, code), **told}
