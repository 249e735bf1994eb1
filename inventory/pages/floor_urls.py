"""Addresses of the floor's pages: what came in, what is wet, where things stand, what leaves."""

from django.urls import path

from inventory.pages import counts, floor, moves, places, still_out

urlpatterns = [
    path("wet/", floor.wet, name="floor-wet"),
    path("today/", floor.today, name="floor-today"),
    path("still-out/", still_out.still_out, name="still-out"),
    path("places/", places.places, name="floor-places"),
    path("moves/", moves.moves, name="floor-moves"),
    path("count/", counts.count, name="floor-count"),
]
