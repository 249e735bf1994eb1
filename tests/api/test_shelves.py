"""Whatever the books hold is on a shelf of the API, or it is said here why it is not."""

import pytest
from django.apps import apps

from api.v1.shelves import SHELVES
from tests.make import house

pytestmark = pytest.mark.django_db
# A table without a list of its own, and where a program finds it or why it is nobody's business.
NO_SHELF = {
    "inventory.WrongPassword": "secret: what keeps passwords from being guessed",
    "inventory.Preference": "how one person likes to read pages",
    "inventory.Station": "GET /api/v1/me tells that of the key; no other is shown",
    "inventory.Gs1Numbers": "the station's numbers; GET /api/v1/lots/{lot}/epcis names things by them",
    "inventory.Membership": "people are entered by acts; whose key it is, GET /api/v1/me tells",
    "inventory.LotCounter": "the next free number, which an act takes by itself",
    "inventory.ChainHead": "GET /api/v1/changes tells the newest act",
    "inventory.DataMark": "whether this is a demo; a banner on pages",
    "inventory.Lot": "its number; the list lots tells it with what it is",
    "inventory.Identity": "what each act made of a lot; the list lots tells what holds",
    "inventory.Entry": "GET /api/v1/changes and one operation tell the masses of each act",
    "inventory.Link": "GET /api/v1/trace walks them",
    "inventory.Command": "keys of requests that were answered",
    "inventory.RunDraft": "a run that somebody is typing on a page; a program books it whole",
    "inventory.PluginSettings": "what records set for a plugin; its act tells it, and the plugin's page",
    "inventory.PluginSecrets": "secret",
    "inventory.ToldPlugin": "how far a plugin was told of acts",
    "grading.BenchManner": "how one grader likes the bench to look",
    "grading.PhotoBytes": "the picture itself; the list photos names it, the package holds it",
    "grading.RegradePlan": "who grades shall not know when a portion comes back blind",
    "grading.RuleEdition": "GET /api/v1/rule-sets tells every edition",
    "grading.RulesWithdrawn": "GET /api/v1/rule-sets tells until when an edition holds",
    "grading.RulesDraft": "outside the books, and replaced as often as somebody likes",
}


def test_every_table_of_the_books_has_a_list_or_a_reason_for_having_none() -> None:
    plant = house()
    listed = {shelf.rows(plant.station, plant.records).model._meta.label for shelf in SHELVES}
    there = {model._meta.label for app in ("inventory", "grading") for model in apps.get_app_config(app).get_models()}
    assert there - listed - set(NO_SHELF) == set(), "give it a shelf (api/v1/shelves.py), or say here why it has none"
    assert set(NO_SHELF) & listed == set()
    assert set(NO_SHELF) - there == set()
