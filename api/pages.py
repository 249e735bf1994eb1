"""The description of the API to read and to try, for people who are signed in; all its files are our own."""

from collections.abc import Sequence
from functools import cache
from pathlib import Path

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.views import redirect_to_login
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from rest_framework.renderers import BaseRenderer, JSONRenderer
from rest_framework.request import Request
from rest_framework.views import APIView

from hilum.plugins import Plugin
from hilum.security import POLICY

DOCUMENT = Path(__file__).parent / "openapi.yaml"
# The reader's own pictures stand in its style sheet as data; nothing else is loosened.
_POLICY = POLICY.replace("img-src 'self'", "img-src 'self' data:")


class _WithKey(APIView):
    """The description for a program, which has a key and no session: any key reads it, whatever Accept says."""

    schema = None
    is_for_every_key = True

    def perform_content_negotiation(self, request: Request, force: bool = False) -> tuple[BaseRenderer, str]:  # noqa: ARG002, FBT001, FBT002 - the framework's signature
        """Answer YAML; a problem is told as JSON."""
        return JSONRenderer(), JSONRenderer.media_type

    def get(self, request: Request) -> HttpResponse:  # noqa: ARG002 - the framework's signature
        """Give it."""
        return _described()


_with_key = _WithKey.as_view()


@login_not_required
def openapi(request: HttpRequest) -> HttpResponseBase:
    """Give the description as it is committed, with what plugins add: to whoever is signed in, and to any key."""
    if request.user.is_authenticated and "Authorization" not in request.headers:
        return _described()
    if "text/html" in request.headers.get("Accept", ""):  # a browser, whose person signs in
        return redirect_to_login(request.path)
    answer: HttpResponseBase = _with_key(request)
    return answer


def _described() -> HttpResponse:
    return HttpResponse(_document(), content_type="application/yaml")


@cache
def _document() -> bytes:
    plugins: Sequence[Plugin] = settings.HILUM_STARTED.plugins
    if not plugins:
        return DOCUMENT.read_bytes()
    from drf_spectacular.generators import SchemaGenerator  # noqa: PLC0415 - takes a while, and only plugins ask for it
    from drf_spectacular.renderers import OpenApiYamlRenderer  # noqa: PLC0415 - as above

    made = SchemaGenerator().get_schema(public=True)  # type: ignore[no-untyped-call]
    return bytes(OpenApiYamlRenderer().render(made, renderer_context={}))  # type: ignore[no-untyped-call]


def docs(request: HttpRequest) -> HttpResponse:
    """Show the description, address by address."""
    page = render(request, "api/docs.html")
    page.headers["Content-Security-Policy"] = _POLICY
    return page
