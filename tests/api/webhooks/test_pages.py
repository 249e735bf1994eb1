"""The page on which a person adds webhooks, tries them and reads what was told."""

import re
from typing import Any

import pytest
from django.test import Client

from api.webhooks.models import DELIVERED, WAITING, Delivery, Webhook
from api.webhooks.subscribing import Wanted, subscribe
from api.webhooks.telling import trial_message
from hilum.settings.networks import networks_from
from tests.make import NOW, House, house

pytestmark = pytest.mark.django_db
PAGE = "/connections/webhooks/"
WANTED = {"name": "board", "url": "http://127.0.0.1:8080/told"}
NOT_YOURS = "This is not one of yours, or it is gone."


@pytest.fixture
def plant(settings: Any) -> House:
    settings.HILUM_WEBHOOK_NETWORKS = networks_from("127.0.0.0/8")
    return house()


def at(plant: House, role: str) -> Client:
    client = Client()
    client.force_login(plant.people[role])
    return client


def press(client: Client, status: int = 200, **button: object) -> str:
    page = client.post(PAGE, button)
    assert page.status_code == status
    return page.content.decode().replace("&#x27;", "'")


def added(plant: House, name: str = "board") -> Webhook:
    return subscribe(Wanted(name=name, url=WANTED["url"]), station=plant.station, by=plant.breeder, now=NOW)


REFUSED = {
    "no name": ({**WANTED, "name": " "}, "Name what is told, in 1 to 80 letters."),
    "a name with a sign that nobody sees": ({**WANTED, "name": "a\0b"}, "Name what is told, in 1 to 80 letters."),
    "an address that is none": ({**WANTED, "url": "board"}, "cannot be told"),
    "an address with a sign that nobody sees": ({**WANTED, "url": "http://exa\0mple.org/"}, "cannot be told"),
    "an address on networks that are not named": ({**WANTED, "url": "http://10.0.0.1/"}, "cannot be told"),
    "a kind of act that there is not": ({**WANTED, "kinds": ["eat"]}, "'eat' is no kind of act"),
    "a button of no webhook": ({"off": "-" * 36}, NOT_YOURS),
    "a button of one that is gone": ({"test": "0" * 32}, NOT_YOURS),
    "a message that is gone": ({"again": "0" * 32}, NOT_YOURS),
}  # fmt: skip


@pytest.mark.parametrize("case", REFUSED)
def test_what_cannot_be_is_said_and_nothing_is_added(plant: House, case: str) -> None:
    typed, says = REFUSED[case]
    assert says in press(at(plant, "breeder"), 422, **typed)
    assert not Webhook.objects.exists()


def test_a_secret_is_shown_once_and_another_one_when_it_is_asked_for(plant: House) -> None:
    breeder = at(plant, "breeder")
    page = press(breeder, **WANTED, kinds=["ship", "receive"])
    hook = Webhook.objects.get()
    assert hook.secret in page
    assert hook.kinds == ["ship", "receive"]
    assert hook.secret not in breeder.get(PAGE).content.decode()
    renewed = press(breeder, renew=hook.uid)
    after = Webhook.objects.get()
    assert (after.secret != hook.secret, after.secret in renewed, hook.secret in renewed) == (True, True, False)


def test_it_is_turned_off_and_on_again(plant: House) -> None:
    breeder, hook = at(plant, "breeder"), added(plant)
    assert "board is told nothing now." in press(breeder, off=hook.uid)
    assert not Webhook.objects.get().active
    assert "board is told again" in press(breeder, on=hook.uid)
    assert Webhook.objects.get().active


def test_a_test_message_stands_in_the_log_and_is_sent_again_when_it_has_ended(plant: House) -> None:
    breeder, hook = at(plant, "breeder"), added(plant)
    page = press(breeder, test=hook.uid)
    assert "◐ waiting" in page
    assert "Send again" not in page
    Delivery.objects.update(state=DELIVERED, ended_at=NOW, says="It answered 204.")
    page = breeder.get(PAGE, {"of": hook.uid}).content.decode()
    assert "It answered 204." in page
    press(breeder, again=re.findall(r'name="again" value="([^"]+)"', page)[0])
    assert Delivery.objects.get().state == WAITING


def test_it_is_ended_with_its_list_when_that_is_ticked(plant: House) -> None:
    breeder, hook = at(plant, "breeder"), added(plant)
    trial_message(hook, NOW)
    assert "'board' was not ended." in press(breeder, 422, end=hook.uid)
    assert "End this webhook" in breeder.get(PAGE, {"of": hook.uid}).content.decode()
    assert "board is ended" in press(breeder, end=hook.uid, sure="yes")
    assert not Webhook.objects.exists()


def test_webhooks_are_their_owners_and_records_alone(plant: House) -> None:
    hook = added(plant)
    message = trial_message(hook, NOW)
    others = at(plant, "intake")
    for shown in (others.get(PAGE), others.get(PAGE, {"of": hook.uid})):
        assert WANTED["url"] not in shown.content.decode()
        assert str(message.uid) not in shown.content.decode()
    for name, uid in (
        ("off", hook.uid),
        ("test", hook.uid),
        ("renew", hook.uid),
        ("end", hook.uid),
        ("again", message.uid),
    ):
        assert NOT_YOURS in press(others, 422, **{name: uid})
    assert Webhook.objects.get().secret == hook.secret
    records = at(plant, "records")
    assert WANTED["url"] in records.get(PAGE).content.decode()
    press(records, off=hook.uid)
    other_station = at(house("OT"), "records")
    assert WANTED["url"] not in other_station.get(PAGE).content.decode()
    assert NOT_YOURS in press(other_station, 422, on=hook.uid)


def test_the_page_asks_no_more_with_many_webhooks_than_with_few(plant: House, django_assert_max_num_queries) -> None:
    for number in range(12):
        trial_message(added(plant, f"board {number}"), NOW)
    records = at(plant, "records")
    with django_assert_max_num_queries(12):
        records.get(PAGE)
