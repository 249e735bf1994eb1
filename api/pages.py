"""The description of the API to read and to try, for people who are signed in; all its files are our own."""

from collections.abc import Sequence
from functools import cache
from pathlib import Path

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from hilum.plugins import Plugin
from hilum.security import POLICY

DOCUMENT = Path(__file__).parent / "openapi.yaml"
# The reader's own pictures stand in its style sheet as data; nothing else is loosened.
_POLICY = POLICY.replace("img-src 'self'", "img-src 'self' data:")


def openapi(_request: HttpRequest) -> HttpResponse:
    """Give the description as it is committed, with what plugins add where there are any."""
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
