"""The set-up pages: word lists are edited, the ledger is only read."""

import pytest
from django.apps import apps
from django.contrib.auth.models import Permission, User
from django.test import Client

from inventory.admin import WORD_LISTS
from inventory.models import Membership, Operation, Place, Station
from inventory.models.triggers import append_only_models
from tests.make import House, house, received

pytestmark = pytest.mark.django_db
NAMES = sorted(model._meta.model_name for model in apps.get_app_config("inventory").get_models())
EDITED = {model._meta.model_name for model in WORD_LISTS} | {"station", "membership"}


@pytest.fixture
def plant() -> House:
    return house()


@pytest.fixture
def chief(client: Client, plant: House) -> Client:
    received(plant)
    client.force_login(User.objects.create_superuser("chief"))
    return client


@pytest.mark.parametrize("name", NAMES)
def test_every_table_can_be_looked_at_with_the_scan_line_as_its_only_search(chief: Client, name: str) -> None:
    page = chief.get(f"/admin/inventory/{name}/")
    assert page.status_code == 200
    assert page.content.decode().count('role="search"') == 1


@pytest.mark.parametrize("name", sorted(set(NAMES) - EDITED))
def test_nothing_is_added_to_the_ledger_here(chief: Client, name: str) -> None:
    assert chief.get(f"/admin/inventory/{name}/add/").status_code == 403


def test_an_operation_can_be_read_and_not_changed_or_deleted(chief: Client) -> None:
    key = Operation.objects.get().pk
    assert chief.get(f"/admin/inventory/operation/{key}/change/").status_code == 200
    assert chief.post(f"/admin/inventory/operation/{key}/change/", {"kind": "ship"}).status_code == 403
    assert chief.post(f"/admin/inventory/operation/{key}/delete/", {"post": "yes"}).status_code == 403
    assert Operation.objects.get().kind == "receive"


def test_no_append_only_table_is_a_word_list() -> None:
    assert not set(append_only_models()) & set(WORD_LISTS)


def test_a_place_is_added_by_staff_that_may(client: Client, plant: House) -> None:
    plant.records.is_staff = True
    plant.records.save()
    plant.records.user_permissions.add(Permission.objects.get(codename="add_place"))
    client.force_login(plant.records)
    words = {"station": Station.objects.get().pk, "code": "C-01", "name": "A rack"}
    assert client.post("/admin/inventory/place/add/", words).status_code == 302
    assert Place.objects.filter(code="C-01").exists()


@pytest.mark.parametrize("page", ["auth/user/", "inventory/membership/add/", "inventory/station/add/"])
def test_who_may_do_what_is_set_by_superusers_alone(client: Client, plant: House, page: str) -> None:
    plant.records.is_staff = True
    plant.records.save()
    plant.records.user_permissions.set(Permission.objects.all())
    client.force_login(plant.records)
    assert client.get(f"/admin/{page}").status_code == 403


def test_a_role_is_one_of_the_five(chief: Client, plant: House) -> None:
    words = {"station": plant.station.pk, "user": plant.stranger.pk, "role": "king"}
    assert chief.post("/admin/inventory/membership/add/", words).status_code == 200
    assert chief.post("/admin/inventory/membership/add/", {**words, "role": "bench"}).status_code == 302
    assert Membership.objects.get(user=plant.stranger).role == "bench"


def test_somebody_who_may_not_is_told_so_and_not_led_in_circles(client: Client, plant: House) -> None:
    client.force_login(plant.intake)
    page = client.get("/admin/", follow=True)
    assert page.status_code == 403
    assert "Your account may not open this." in page.content.decode()
