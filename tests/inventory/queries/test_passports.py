"""Lines and crosses as passport data."""

from dataclasses import fields

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.actions.crosses import NewCross, add_cross
from inventory.actions.lines import NewLine, add_lines, merge_lines, rename_line
from inventory.models import Line, Standing
from inventory.queries.passports import Passport, station_passports
from tests.make import NOW, House, house, received

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    """N-1/N-2 was crossed as C1, and two lines were bred from it."""
    plant = house()
    acts = {"station": plant.station, "by": plant.breeder, "now": NOW}
    add_cross(NewCross(code="C1", female="N-1", male="N-2"), **acts)
    add_lines([NewLine(name="QN-1", cross="C1", market_class="navy"), NewLine(name="QN-2", cross="C1")], **acts)
    return plant


def passport_of(plant: House, name: str) -> Passport:
    return next(one for one in station_passports(plant.station) if one.accenumb == name)


def test_a_bred_line_says_its_pedigree_and_that_it_was_bred_here(plant: House) -> None:
    told = passport_of(plant, "QN-1").as_texts()
    uid = Line.objects.get(name="QN-1").uid
    assert {name: text for name, text in told.items() if text} == {
        "PUID": f"urn:uuid:{uid}", "ACCENUMB": "QN-1", "GENUS": "Phaseolus", "SPECIES": "vulgaris", "SPAUTHOR": "L.",
        "CROPNAME": "Common bean", "ACCENAME": "QN-1", "BREDNAME": "A small station", "SAMPSTAT": "410",
        "ANCEST": "N-1/N-2", "REMARKS": "CROPNAME:navy",
    }  # fmt: skip


def test_nothing_is_said_of_where_a_line_from_outside_comes_from(plant: House) -> None:
    told = passport_of(plant, "N-1")
    assert (told.sampstat, told.ancest, told.bredname, told.storage) == ("", "", "", ())


def test_a_cross_is_a_population_that_segregates(plant: House) -> None:
    told = passport_of(plant, "C1")
    assert (told.sampstat, told.ancest, told.accename) == ("415", "N-1/N-2", ())


@pytest.mark.parametrize(("generation", "status"), [(4, "415"), (5, "415"), (6, "410"), (8, "410")])
def test_a_line_is_one_from_the_sixth_generation_on(plant: House, generation: int, status: str) -> None:
    lot = received(plant)
    Standing.objects.filter(lot=lot).update(line=Line.objects.get(name="QN-1"), generation=generation)
    told = passport_of(plant, "QN-1")
    assert (told.sampstat, told.storage) == (status, ("10",))


def test_a_renamed_line_keeps_its_id_and_says_its_former_names(plant: House) -> None:
    before = passport_of(plant, "QN-1").puid
    rename_line("QN-1", "Tarnpool", station=plant.station, by=plant.breeder, reason="named", now=NOW)
    told = passport_of(plant, "Tarnpool")
    assert (told.puid, told.as_texts()["ACCENAME"]) == (before, "Tarnpool;QN-1")


def test_a_line_that_turned_out_to_be_another_has_no_passport_of_its_own(plant: House) -> None:
    merge_lines("QN-2", "QN-1", station=plant.station, by=plant.breeder, reason="the same", now=NOW)
    assert [one.accenumb for one in station_passports(plant.station)] == ["B-1", "N-1", "N-2", "QN-1", "C1"]


def test_nothing_of_another_station_is_in_it(plant: House) -> None:
    assert {one.accenumb for one in station_passports(house("OT").station)} == {"B-1", "N-1", "N-2"}


def test_more_lines_cost_no_more_queries(plant: House) -> None:
    def queries() -> int:
        with CaptureQueriesContext(
            connection,
        ) as seen:
            station_passports(plant.station)
        return len(seen)

    before = queries()
    acts = {"station": plant.station, "by": plant.breeder, "now": NOW, "answers": {"name_alike": "another"}}
    add_lines([NewLine(name=f"R{number}-A", cross="C1") for number in range(20, 30)], **acts)
    assert queries() == before


# Of the 28 numbered descriptors those that a breeding station's books can answer, spelled as the standard spells them.
@pytest.mark.outside("FAO/Bioversity Multi-Crop Passport Descriptors V.2.1, 2015: names and order")
def test_descriptors_stand_under_the_standards_names_and_in_its_order() -> None:
    standard = [
        "PUID", "INSTCODE", "ACCENUMB", "COLLNUMB", "COLLCODE", "COLLNAME", "COLLINSTADDRESS", "COLLMISSID",
        "GENUS", "SPECIES", "SPAUTHOR", "SUBTAXA", "SUBTAUTHOR", "CROPNAME", "ACCENAME", "ACQDATE", "ORIGCTY",
        "COLLSITE", "DECLATITUDE", "LATITUDE", "DECLONGITUDE", "LONGITUDE", "COORDUNCERT", "COORDDATUM",
        "GEOREFMETH", "ELEVATION", "COLLDATE", "BREDCODE", "BREDNAME", "SAMPSTAT", "ANCEST", "COLLSRC", "DONORCODE",
        "DONORNAME", "DONORNUMB", "OTHERNUMB", "DUPLSITE", "DUPLINSTNAME", "STORAGE", "MLSSTAT", "REMARKS",
    ]  # fmt: skip
    ours = [field.name.upper() for field in fields(Passport) if field.name != "parentage"]
    assert ours == [name for name in standard if name in ours]
