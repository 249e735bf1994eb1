"""Where and when: the crop, the station as its programme, seasons, locations."""

from collections.abc import Mapping, Sequence
from typing import Any

from api.brapi.asked import Asked, read_query
from api.brapi.envelope import Page, page_of
from api.brapi.filters import CROP_AND_PROGRAM, NO_REFERENCES, Narrow, by_told, nowhere, program_id
from api.brapi.routes import Route
from api.brapi.things import Things
from api.brapi.told import CROP, made_id
from inventory.models import Place, Plot, Site, Standing, Station


def as_told(rows: Sequence[Any], _asked: Asked) -> Sequence[Mapping[str, Any]]:
    """Tell rows that are told already."""
    return rows


def _crop_names(asked: Asked) -> Page:
    read_query(asked, ())
    return Page(*page_of([CROP], asked))


def program_of(station: Station) -> dict[str, Any]:
    """Tell a station as the programme that it works for."""
    return {
        "programDbId": program_id(station),
        "programName": station.name,
        "abbreviation": station.code,
        "commonCropName": CROP,
        "programType": "STANDARD",
    }


def season_id(year: int) -> str:
    """Give the DbId of a year's season: it is the same for all stations."""
    return str(year)


def _seasons(asked: Asked) -> list[dict[str, Any]]:
    """Tell each year in which something was sown or harvested (2 queries)."""
    here = {"station": asked.station}
    sown = Plot.objects.filter(**here, taken_back=False).order_by().values_list("season", flat=True)
    lots = Standing.objects.filter(**here, made_by__isnull=False).order_by().values_list("crop_year", flat=True)
    years = {year for year in (*sown.distinct(), *lots.distinct()) if year is not None}
    return [{"seasonDbId": season_id(year), "seasonName": str(year), "year": year} for year in sorted(years)]


def site_id(station: Station, site: int) -> str:
    """Give the DbId of a field or farm by its key."""
    return made_id(station.pk, "site", site)


def place_id(station: Station, place: int) -> str:
    """Give the DbId of a place in the store by its key."""
    return made_id(station.pk, "place", place)


def station_location_id(station: Station) -> str:
    """Give the DbId of the station as a location."""
    return made_id(station.pk, "station")


def _locations(asked: Asked) -> list[dict[str, Any]]:
    """Tell the station, then its fields and farms, then the places of its store (2 queries)."""
    station = asked.station
    mother = {"parentLocationDbId": station_location_id(station), "parentLocationName": station.name}
    told = [_location(station_location_id(station), station.code, station.name, "Station")]
    for site in Site.objects.filter(station=station).order_by("code"):
        told += [mother | _location(site_id(station, site.pk), site.code, site.name, "Field")]
    for place in Place.objects.filter(station=station).order_by("code"):
        told += [mother | _location(place_id(station, place.pk), place.code, place.name, "Storage location")]
    return told


def _location(dbid: str, code: str, name: str, kind: str) -> dict[str, Any]:
    return {"locationDbId": dbid, "locationName": name or code, "abbreviation": code, "locationType": kind}


def _told(*names: str) -> dict[str, Narrow]:
    return {name: by_told(name) for name in names}


_NO_PLACE_OF_EARTH = dict.fromkeys(("countryCode", "countryName", "instituteName", "instituteAddress"), nowhere)
_NOBODY = dict.fromkeys(("leadPersonDbId", "leadPersonName", "objective"), nowhere)

THINGS = (
    Things(
        "programs", "programme", "programDbId", lambda asked: [program_of(asked.station)], as_told,
        {**_told("programDbId", "programName", "abbreviation", "programType", "commonCropName"),
         **_NOBODY, **NO_REFERENCES},
        has_search=True,
    ),
    Things(
        "seasons", "season", "seasonDbId", _seasons, as_told,
        {**_told("seasonDbId", "seasonName", "year"), "season": by_told("seasonName")},
    ),
    Things(
        "locations", "location", "locationDbId", _locations, as_told,
        {
            **CROP_AND_PROGRAM, **NO_REFERENCES, **_NO_PLACE_OF_EARTH,
            **_told("locationDbId", "locationName", "locationType", "parentLocationDbId", "parentLocationName"),
            "abbreviation": by_told("abbreviation"),
        },
        has_search=True,
    ),
)  # fmt: skip
ROUTES = (Route("commoncropnames", _crop_names, is_for_all=True),)
