"""Addresses of the floor's pages: what came in, what is wet, where things stand, what leaves."""

from django.urls import path

from inventory.pages import floor

urlpatterns = [
    path("wet/", floor.wet, name="floor-wet"),
    path("today/", floor.today, name="floor-today"),
]
