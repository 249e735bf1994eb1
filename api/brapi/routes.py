"""One address of the standard, and the one view that answers all of them."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from http import HTTPStatus
from typing import Any

from django.http import HttpResponse, HttpResponseBase
from django.urls import URLPattern, path
from rest_framework.exceptions import MethodNotAllowed
from rest_framework.permissions import BasePermission, IsAuthenticated
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from api.brapi.asked import asked_by
from api.brapi.envelope import Page, envelope
from api.brapi.errors import answer_with_text, as_text
from api.brapi.parsers import AnyJSON
from api.models import Token
from api.scopes import READ, ScopeMissing
from api.v1.exporting import AnyAccept

JSON = "application/json"
# What answers: the request and the DbIds of the path in, the result out; a page of rows, one object, or, for what is
# no JSON, the answer itself. It reads its parameters or its body first.
Handler = Callable[..., Page | Mapping[str, Any] | HttpResponse]


@dataclass(frozen=True)
class Route:
    """An address, spelled as the standard spells it.

    Attributes:
        path: without slashes at its ends and without brapi/v2: "seedlots/{seedLotDbId}/transactions".
        get, post, put: what answers; None where the method is not offered.
        scope: what a key must have been given for post and put; a search that only reads names "read".
        content_types: in which forms it answers.
        is_for_all: any key opens it that reads anything: what is here at all.
    """

    path: str
    get: Handler | None = None
    post: Handler | None = None
    put: Handler | None = None
    scope: str = "write"
    content_types: tuple[str, ...] = (JSON,)
    is_for_all: bool = False

    @property
    def methods(self) -> list[str]:
        """The methods that are offered."""
        return [name.upper() for name in ("get", "post", "put") if getattr(self, name)]


class ReadsSomething(BasePermission):
    """A key that was given any reading at all, so that a tablet with few scopes still learns what there is."""

    def has_permission(self, request: Request, view: Any) -> bool:  # noqa: ARG002 - the framework's signature
        """Hold the request against its key."""
        if not isinstance(request.auth, Token):
            return False
        if not any(scope.rpartition(":")[2] == READ for scope in request.auth.given):
            raise ScopeMissing(READ, request.auth.given)
        return True


class Call(APIView):
    """Answers one address: reads who asks, lets its route answer, and puts that into the envelope."""

    schema = None  # the standard describes these addresses
    parser_classes = (AnyJSON,)
    content_negotiation_class = AnyAccept  # a table is text where that is asked for; everything else is JSON anyway
    route = Route("")
    scope = "write"  # each address names its own

    @property
    def allowed_methods(self) -> list[str]:
        """The methods of the route."""
        return self.route.methods

    def get(self, request: Request, **ids: str) -> HttpResponseBase:
        """Read."""
        return self._answer(self.route.get, request, ids)

    def post(self, request: Request, **ids: str) -> HttpResponseBase:
        """Write, or search."""
        return self._answer(self.route.post, request, ids)

    def put(self, request: Request, **ids: str) -> HttpResponseBase:
        """Change."""
        return self._answer(self.route.put, request, ids)

    def options(self, request: Any, *args: Any, **kwargs: Any) -> Response:  # noqa: ARG002 - the framework's signature
        """Name the methods in the header Allow, as every answer does, and nothing else."""
        return Response()

    def get_exception_handler(self) -> Callable[..., Response]:
        """Word errors as this standard does, not as our own API does."""
        return answer_with_text

    def _answer(self, handler: Handler | None, request: Request, ids: Mapping[str, str]) -> HttpResponseBase:
        if handler is None:
            raise MethodNotAllowed(request.method or "")
        asked = asked_by(request)
        result = handler(asked, *ids.values())
        return result if isinstance(result, HttpResponse) else Response(envelope(result, asked))


class Nothing(APIView):
    """An address that the standard has not, or that is not built here."""

    schema = None
    parser_classes = (AnyJSON,)

    def get(self, request: Request, rest: str = "") -> Response:
        """Say so."""
        where = "GET /brapi/v2/serverinfo lists what there is."
        if rest.endswith("/"):
            where = f"Addresses have no slash at their end: /brapi/v2/{rest.rstrip('/')}"
        elif rest.startswith("search/"):
            where = "Searches answer at once; send the body again by POST with the page that is wanted."
        return as_text(HTTPStatus.NOT_FOUND, f"There is nothing at {request.path[:200]}. {where}")

    post = put = patch = delete = get

    def get_exception_handler(self) -> Callable[..., Response]:
        """Word errors as this standard does."""
        return answer_with_text


def pattern_of(route: Route) -> URLPattern:
    """Give a route its address."""
    where = route.path.replace("{", "<str:").replace("}", ">")
    view = Call.as_view(route=route, scope=route.scope)
    if route.is_for_all:
        view = Call.as_view(route=route, permission_classes=(IsAuthenticated, ReadsSomething))
    return path(where, view)


def in_order(routes: tuple[Route, ...]) -> list[Route]:
    """Put routes in the order in which they are tried: a spelled-out part before a DbId at the same place."""
    return sorted(routes, key=lambda route: [(part.startswith("{"), part) for part in route.path.split("/")])
