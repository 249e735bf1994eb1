"""Webhooks as a program asks for them: added, listed, changed, tried, ended; who may, and what is refused."""

from collections.abc import Callable
from typing import Any
from unittest import mock

import pytest

from api.unusable import NotThere
from api.v1.values import instant
from api.webhooks import views
from api.webhooks.models import Delivery, Webhook
from api.webhooks.subscribing import MOST, Barred, Change, change, end
from api.webhooks.telling import queue_messages, send_again
from hilum.settings.networks import networks_from
from inventory.queries.packages import packed_models
from tests.api.asking import Program, program_of
from tests.make import NOW, House, house, received

pytestmark = pytest.mark.django_db
HOOKS = "/api/v1/webhooks"
URL = "http://127.0.0.1:8080/told"
WANTED = {"name": "board", "url": URL}


@pytest.fixture
def plant(settings: Any) -> House:
    settings.HILUM_WEBHOOK_NETWORKS = networks_from("127.0.0.0/8")
    return house()


def key_of(plant: House, role: str = "breeder", *scopes: str) -> Program:
    return program_of(plant.people[role], *scopes)


def tag_of(program: Program, where: str) -> str:
    tag: str = program.client.get(where, headers=program.headers)["ETag"]
    return tag


def changed(program: Program, where: str, body: Any, method: str = "patch") -> Any:
    return program.send(where, body, method=method, If_Match=tag_of(program, where))


def added(program: Program, **more: Any) -> str:
    return f"{HOOKS}/{program.post(HOOKS, {**WANTED, **more})['id']}"


def test_one_is_added_listed_changed_and_ended_and_its_secret_is_shown_once(plant: House) -> None:
    program = key_of(plant)
    answer = program.send(HOOKS, {**WANTED, "kinds": ["receive", "receive"]})
    assert answer.status_code == 201
    told = answer.json()
    secret, where = told.pop("secret"), answer["Location"].removeprefix("http://testserver")
    assert secret.startswith("whsec_")
    assert (told["kinds"], told["active"], told["by"]) == (["receive"], True, "breeder-st")
    assert program.get(where) == told
    assert program.get(HOOKS)["results"] == [{**told, "seq": 0, "failing_since": None}]
    assert secret not in str(program.get(HOOKS)) + str(changed(program, where, {"kinds": []}).json())
    line = program.post(f"{where}/test", {}, 202)["id"]
    off = changed(program, where, {"active": False, "name": "wall"}).json()
    assert (off["active"], off["name"], off["kinds"], off["url"]) == (False, "wall", [], URL)
    for address in (f"{where}/test", f"/api/v1/deliveries/{line}/redeliver"):
        assert program.post(address, {}, 422)["detail"].startswith("'wall' is off, so nothing is sent to it.")
    assert changed(program, where, "", "delete").status_code == 204
    program.get(where, 404)
    assert not Delivery.objects.exists()


def test_a_change_without_or_with_an_old_tag_is_refused(plant: House) -> None:
    program = key_of(plant)
    where = added(program)
    assert program.send(where, {"active": False}, method="patch").status_code == 428
    old = tag_of(program, where)
    changed(program, where, {"name": "wall"})
    assert program.send(where, {"active": False}, method="patch", If_Match=old).status_code == 412
    assert program.send(where, "", method="delete", If_Match=old).status_code == 412


def test_another_secret_is_shown_once_and_the_old_one_signs_along(plant: House) -> None:
    program = key_of(plant)
    first = program.post(HOOKS, WANTED)
    told = program.post(f"{HOOKS}/{first['id']}/secret", {}, 201)
    hook = Webhook.objects.get()
    assert (hook.secret, hook.old_secret) == (told["secret"], first["secret"])
    assert told["secret"] != first["secret"]


def test_only_its_owner_and_records_change_it(plant: House) -> None:
    where = added(key_of(plant))
    assert changed(key_of(plant, "records"), where, {"active": False}).status_code == 200
    hook = Webhook.objects.get()
    for act in (lambda: change(hook, Change(active=True), by=plant.bench), lambda: end(hook, by=plant.bench)):
        with pytest.raises(Barred, match="belongs to somebody else"):  # also where a page forgets to hide it
            act()


def test_only_its_owner_and_records_see_it_and_what_it_was_sent(plant: House) -> None:
    where = added(key_of(plant), url=f"{URL}?token=only-the-receiver-knows")
    line = key_of(plant).post(f"{where}/test", {}, 202)["id"]
    bench, log = key_of(plant, "bench"), f"/api/v1/deliveries/{line}"
    for address in (where, log):
        bench.get(address, 404)
    for address in (f"{where}/test", f"{where}/secret", f"{log}/redeliver"):
        bench.post(address, {}, 404)
    for method in ("patch", "delete"):
        assert bench.send(where, {}, method=method, If_Match="*").status_code == 404
    for address in (HOOKS, "/api/v1/deliveries"):
        assert bench.get(address)["results"] == []
        assert b"only-the-receiver" not in b"".join(
            bench.client.get(f"{address}/export?format=csv", headers=bench.headers).streaming_content
        )
        assert len(key_of(plant, "records").get(address)["results"]) == 1


def test_its_tag_stays_while_acts_are_told_and_changes_with_what_people_set(plant: House) -> None:
    program = key_of(plant)
    where = added(program)
    seen = tag_of(program, where)
    received(plant)
    assert queue_messages() == 1
    Webhook.objects.update(failing_since=NOW)
    assert tag_of(program, where) == seen
    told = program.get(HOOKS)["results"][0]
    assert (told["seq"], told["failing_since"]) == (1, instant(NOW))  # the list tells how far it is
    assert program.send(where, {"name": "wall"}, method="patch", If_Match=seen).status_code == 200
    assert tag_of(program, where) != seen


def meanwhile(do: Callable[[], Any]) -> Any:
    """Let something happen between the look at an address and the write to it."""
    read = views._webhook

    def read_then(request: Any, name: str) -> Webhook:
        hook = read(request, name)
        do()
        return hook

    return mock.patch.object(views, "_webhook", read_then)


@pytest.mark.parametrize(
    ("method", "more", "body"),
    [
        ("patch", "", {"name": "wall"}), ("patch", "", {}), ("patch", "", {"active": True}), ("delete", "", {}),
        ("post", "/secret", {}), ("post", "/test", {}),
    ],
)  # fmt: skip
def test_one_that_is_ended_while_it_is_changed_is_not_there(
    plant: House, method: str, more: str, body: dict[str, Any]
) -> None:
    program = key_of(plant)
    where = added(program)
    tag = tag_of(program, where)
    with meanwhile(lambda: Webhook.objects.all().delete()):
        answer = program.send(where + more, body, method=method, If_Match=tag)
    assert (answer.status_code, answer.json()["code"]) == (404, "webhook_ended")
    assert not Webhook.objects.exists() and not Delivery.objects.exists()


@pytest.mark.parametrize("method", ["patch", "delete"])
def test_one_that_is_changed_while_it_is_changed_stays_as_the_first_left_it(plant: House, method: str) -> None:
    program = key_of(plant)
    where = added(program)
    tag = tag_of(program, where)
    with meanwhile(lambda: Webhook.objects.update(name="first")):
        answer = program.send(where, {"name": "second"}, method=method, If_Match=tag)
    assert answer.status_code == 412
    assert Webhook.objects.get().name == "first"


def test_a_message_whose_address_or_line_is_gone_is_not_sent_again(plant: House) -> None:
    program = key_of(plant)
    line = Delivery.objects.get(uid=program.post(f"{added(program)}/test", {}, 202)["id"])
    Delivery.objects.all().delete()
    with pytest.raises(NotThere, match="is forgotten"):
        send_again(line, NOW)
    Webhook.objects.all().delete()
    with pytest.raises(NotThere, match="was ended meanwhile"):
        send_again(line, NOW)


def test_nothing_of_another_station_is_there(plant: House) -> None:
    program = key_of(plant)
    where = added(program)
    line = program.post(f"{where}/test", {}, 202)["id"]
    other = key_of(house("OT"), "records")
    assert other.get(HOOKS)["results"] == other.get("/api/v1/deliveries")["results"] == []
    for address in (where, f"/api/v1/deliveries/{line}"):
        other.get(address, 404)
    for address in (f"{where}/test", f"{where}/secret", f"/api/v1/deliveries/{line}/redeliver"):
        other.post(address, {}, 404)
    for method in ("patch", "delete"):
        assert other.send(where, {}, method=method, If_Match='"x"').status_code == 404
    other.post(HOOKS, WANTED, 201)  # a name is taken at its own station alone


def test_scopes_open_it_and_no_others_do(plant: House) -> None:
    program = key_of(plant, "breeder", "changes:read", "changes:write")
    added(program)
    program.get(HOOKS)
    key_of(plant, "breeder", "changes:read").post(HOOKS, WANTED, 403)
    key_of(plant, "breeder", "lots:read").get(HOOKS, 403)
    key_of(plant, "breeder", "lots:read").get("/api/v1/deliveries", 403)


@pytest.mark.parametrize(
    ("body", "says"),
    [
        ({}, "missing"),
        ([], ""),
        ({"name": "a"}, "url"),
        ({**WANTED, "name": " "}, "Name what is told"),
        ({**WANTED, "name": "x" * 81}, "Name what is told"),
        ({**WANTED, "name": "a\0"}, ""),
        ({**WANTED, "url": "http://10.0.0.1/"}, "HILUM_WEBHOOK_NETWORKS"),
        ({**WANTED, "url": "http://a:b@127.0.0.1/"}, "name and password"),
        ({**WANTED, "url": None}, "url"),
        ({**WANTED, "url": ["http://127.0.0.1"]}, "url"),
        ({**WANTED, "kinds": ["recieve"]}, "receive"),
        ({**WANTED, "kinds": [{"a": 1}]}, "kinds"),
        ({**WANTED, "colour": "red"}, "colour"),
        ("{", ""),
    ],
)
def test_what_cannot_be_told_is_refused_with_a_sentence(plant: House, body: Any, says: str) -> None:
    answer = key_of(plant).send(HOOKS, body)
    assert 400 <= answer.status_code < 500, answer.content
    assert says.casefold() in str(answer.json()).casefold()
    assert not Webhook.objects.exists()


@pytest.mark.parametrize("body", [{"active": "perhaps"}, {"name": ""}, {"kinds": ["x"]}, {"url": "x"}, {"seq": 1}, [1]])
def test_a_change_that_cannot_be_is_refused_and_changes_nothing(plant: House, body: Any) -> None:
    program = key_of(plant)
    where = added(program)
    before = program.get(where)
    assert changed(program, where, body).status_code in (400, 422)
    assert program.get(where) == before


def test_a_name_is_taken_once_and_there_is_an_end_of_them(plant: House) -> None:
    program = key_of(plant)
    where = added(program)
    assert program.post(HOOKS, WANTED, 422)["errors"][0]["code"] == "name_taken"
    added(program, name="wall")
    assert changed(program, where, {"name": "wall"}).json()["errors"][0]["code"] == "name_taken"
    for number in range(MOST - 2):
        added(program, name=f"board {number}")
    assert "20 webhooks" in program.post(HOOKS, {**WANTED, "name": "one more"}, 422)["detail"]


def test_lists_cost_the_same_for_one_and_for_many(plant: House, django_assert_max_num_queries: Any) -> None:
    program = key_of(plant)
    where = added(program)
    for number in range(3):
        added(program, name=f"board {number}")
        program.post(f"{where}/test", {}, 202)
    for address in (HOOKS, "/api/v1/deliveries"):
        with django_assert_max_num_queries(6):
            program.get(address)


def test_what_holds_secrets_is_left_out_of_a_package() -> None:
    assert not {Webhook, Delivery} & set(packed_models())
