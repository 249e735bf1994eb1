"""The description of the API to read and to try, for people who are signed in; all its files are our own."""

from pathlib import Path

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from hilum.security import POLICY

DOCUMENT = Path(__file__).parent / "openapi.yaml"
# The reader's own pictures stand in its style sheet as data; nothing else is loosened.
_POLICY = POLICY.replace("img-src 'self'", "img-src 'self' data:")


def openapi(_request: HttpRequest) -> HttpResponse:
    """Give the description as it is committed."""
    return HttpResponse(DOCUMENT.read_bytes(), content_type="application/yaml")


def docs(request: HttpRequest) -> HttpResponse:
    """Show the description, address by address."""
    page = render(request, "api/docs.html")
    page.headers["Content-Security-Policy"] = _POLICY
    return page
