"""Addresses of the floor's pages: what came in, what is wet, where things stand, what leaves."""

from django.urls import path

from inventory.pages import counts, drying, floor, holds, moves, places, shipments, still_out

urlpatterns = [
    path("wet/", floor.wet, name="floor-wet"),
    path("today/", floor.today, name="floor-today"),
    path("still-out/", still_out.still_out, name="still-out"),
    path("places/", places.places, name="floor-places"),
    path("moves/", moves.moves, name="floor-moves"),
    path("holds/", holds.holds, name="holds"),
    path("shipments/", shipments.list_of, name="shipments"),
    path("shipments/load/", shipments.load, name="shipment-load"),
    path("shipments/load/look", shipments.load_look, name="shipment-load-look"),
    path("dry/look", drying.drying_look, name="drying-look"),
    path("count/", counts.count, name="floor-count"),
]
