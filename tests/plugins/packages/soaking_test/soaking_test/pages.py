"""The plugin's pages, under /x/soaking-test/."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path

from hilum.plugins.books import books
from soaking_test.method import NAME


def soaks(request: HttpRequest) -> HttpResponse:
    """List the soaks of the station."""
    return render(
        request, "soaking_test/soaks.html", {"soaks": books().measurements(books().who(request).station, NAME)}
    )


urlpatterns = [path("", soaks, name="soaks")]
