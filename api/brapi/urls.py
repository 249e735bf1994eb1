"""Addresses of the Breeding API: no slash at the end, and whatever is not there is told as text."""

from django.urls import path

from api.brapi import core, crosses, germplasm, lists, pedigree, seed, studies, tables, variables
from api.brapi.routes import Nothing, Route, in_order, pattern_of
from api.brapi.serverinfo import serverinfo_route
from api.brapi.things import Things

_PARTS = (core, studies, germplasm, pedigree, crosses, lists, variables, seed)
# A list by its Things; what else there is by its Route.
THINGS: tuple[Things, ...] = tuple(things for part in _PARTS for things in part.THINGS)
_LISTED: tuple[Route, ...] = (
    *(route for things in THINGS for route in things.routes()),
    *(route for part in _PARTS for route in part.ROUTES),
    *tables.ROUTES,
)
ROUTES: tuple[Route, ...] = (serverinfo_route(_LISTED), *_LISTED)

urlpatterns = [*(pattern_of(route) for route in in_order(ROUTES)), path("<path:rest>", Nothing.as_view())]
