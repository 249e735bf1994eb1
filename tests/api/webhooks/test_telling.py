"""Messages: queued for each act, sent in order, tried again, given up, sent once more by hand."""

import hashlib
import hmac
import json
from base64 import b64decode, b64encode
from datetime import UTC, datetime, timedelta
from typing import Any
from unittest import mock

import pytest

from api.webhooks.models import Delivery, Webhook
from api.webhooks.telling import JITTER, LOG_KEPT, OFF_AFTER, WAITS, forget_log, queue_messages, send_due
from api.work.duties import do_duties
from hilum.settings.networks import networks_from
from inventory.models import Membership, Operation
from tests.api.asking import program_of
from tests.api.webhooks.target import Receiver, receiving
from tests.make import House, house, received

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant(settings: Any) -> House:
    settings.HILUM_WEBHOOK_NETWORKS = networks_from("127.0.0.0/8")
    return house()


def told(plant: House, target: Receiver, **more: Any) -> dict[str, Any]:
    """Let a target be told, and give the row with its secret."""
    row: dict[str, Any] = program_of(plant.people["breeder"]).post(
        "/api/v1/webhooks", {"name": "board", "url": target.url, **more}
    )
    return row


def now() -> datetime:
    return datetime.now(UTC)


def later(**wait: float) -> datetime:
    return now() + timedelta(**wait)


def seqs(target: Receiver) -> list[int]:
    return [json.loads(body)["data"]["seq"] for _, body in target.got]


def drain(moment: datetime | None = None) -> None:
    while send_due(moment or later(seconds=1)):
        pass


def test_each_act_from_now_on_is_told_once_in_the_order_of_the_chain_and_signed(plant: House) -> None:
    received(plant)
    with receiving() as target:
        secret = told(plant, target)["secret"]
        for _ in range(3):
            received(plant)
        newest = Operation.objects.order_by("-seq")[0]
        assert queue_messages() == 3
        assert queue_messages() == 0
        drain()
    assert seqs(target) == [newest.seq - 2, newest.seq - 1, newest.seq]
    headers, body = target.got[-1]
    message = json.loads(body)
    assert (message["type"], message["data"]["kind"], message["data"]["id"]) == ("act", newest.kind, str(newest.uid))
    read = program_of(plant.people["breeder"]).get(message["data"]["read"])
    assert [act["seq"] for act in read["results"]] == [newest.seq]
    signed = f"{headers['webhook-id']}.{headers['webhook-timestamp']}.".encode() + body
    digest = hmac.new(b64decode(secret.removeprefix("whsec_")), signed, hashlib.sha256).digest()
    assert headers["webhook-signature"] == "v1," + b64encode(digest).decode()
    assert abs(int(headers["webhook-timestamp"]) - now().timestamp()) < 60


def test_kinds_that_were_not_asked_for_are_passed_over(plant: House) -> None:
    with receiving() as target:
        told(plant, target, kinds=["ship"])
        received(plant)
        assert queue_messages() == 1
        drain()
    assert target.got == []
    assert Webhook.objects.get().seq == Operation.objects.order_by("-seq")[0].seq


def test_a_message_that_is_not_taken_is_tried_again_later_and_holds_back_the_next(plant: House) -> None:
    with receiving(500, 204) as target:
        told(plant, target)
        received(plant)
        received(plant)
        queue_messages()
        start = later(seconds=1)
        assert send_due(start) == 1
        first = Delivery.objects.order_by("seq")[0]
        assert (first.state, first.tries, first.status, first.says) == ("waiting", 1, 500, "It answered 500.")
        assert (1 - JITTER) * WAITS[0] <= first.due_at - start <= (1 + JITTER) * WAITS[0]
        assert Webhook.objects.get().failing_since == start
        assert send_due(start) == 0
        drain(start + 2 * WAITS[0])
    ids = [headers["webhook-id"] for headers, _ in target.got]
    assert ids[0] == ids[1] != ids[2]
    assert seqs(target) == sorted(seqs(target))
    assert set(Delivery.objects.values_list("state", flat=True)) == {"delivered"}
    assert Webhook.objects.get().failing_since is None


def test_a_target_that_does_not_answer_in_time_is_tried_again(plant: House) -> None:
    with mock.patch("api.webhooks.sending.ANSWER_WITHIN", 0.1), receiving(b"HTTP/1.1 ") as target:
        told(plant, target)
        received(plant)
        queue_messages()
        assert send_due(later(seconds=1)) == 1
    line = Delivery.objects.get()
    assert (line.state, line.status, line.tries) == ("waiting", None, 1)
    assert "did not answer" in line.says


def test_a_message_nobody_takes_steps_aside_is_given_up_and_its_address_turned_off(plant: House) -> None:
    with receiving(500) as target:
        told(plant, target)
        received(plant)
        received(plant)
        queue_messages()
        start = moment = later(seconds=1)
        for _ in range(3):
            send_due(moment)
            moment += timedelta(hours=1)
        assert len(set(seqs(target))) == 1
        drain(moment)
        assert len(set(seqs(target))) == 2
        while Delivery.objects.filter(state="waiting").exists():
            moment += timedelta(hours=30)
            Webhook.objects.update(active=True)
            send_due(moment)
    assert set(Delivery.objects.values_list("state", "tries")) == {("given up", len(WAITS) + 1)}
    hook = Webhook.objects.get()
    assert moment - start > OFF_AFTER
    assert (hook.active, "took nothing for 3 days" in hook.says) == (False, True)


def test_410_turns_an_address_off_and_turned_on_again_it_goes_on_where_it_was(plant: House) -> None:
    with receiving(410, 204) as target:
        where = f"/api/v1/webhooks/{told(plant, target)['id']}"
        received(plant)
        queue_messages()
        send_due(later(seconds=1))
        row = program_of(plant.people["breeder"]).get(where)
        assert (row["active"], "410" in row["says"]) == (False, True)
        received(plant)
        assert queue_messages() == 0
        program = program_of(plant.people["breeder"])
        tag = program.client.get(where, headers=program.headers)["ETag"]
        program.send(where, {"active": True}, method="patch", If_Match=tag)
        assert queue_messages() == 1
        drain()
    assert seqs(target) == [1, 2]
    assert list(Delivery.objects.order_by("seq").values_list("state", flat=True)) == ["given up", "delivered"]


def test_an_address_that_now_leads_to_a_network_of_our_own_is_not_told(plant: House, settings: Any) -> None:
    with receiving() as target:
        told(plant, target)
        received(plant)
        queue_messages()
        settings.HILUM_WEBHOOK_NETWORKS = ()
        send_due(later(seconds=1))
    assert target.got == []
    assert "cannot be told" in Delivery.objects.get().says


@pytest.mark.parametrize("leaves", [True, False])
def test_who_left_the_station_or_was_shut_out_is_told_nothing(plant: House, leaves: bool) -> None:
    breeder = plant.people["breeder"]
    with receiving() as target:
        told(plant, target)
        received(plant)
        queue_messages()
        if leaves:
            Membership.objects.filter(user=breeder).delete()
        else:
            breeder.is_active = False
            breeder.save()
        received(plant)
        assert (queue_messages(), send_due(later(seconds=1))) == (0, 0)
    assert target.got == []


def test_acts_of_another_station_are_not_told(plant: House) -> None:
    other = house("OT")
    with receiving() as target:
        told(plant, target)
        received(other)
        assert queue_messages() == 0


def test_a_test_arrives_and_what_was_sent_is_sent_again_under_its_own_id(plant: House) -> None:
    program = program_of(plant.people["breeder"])
    with receiving() as target:
        row = told(plant, target)
        line = program.post(f"/api/v1/webhooks/{row['id']}/test", {}, 202)
        assert (line["state"], line["seq"]) == ("waiting", None)
        do_duties()
        where = f"/api/v1/deliveries/{line['id']}"
        sent = program.get(where)
        assert (sent["state"], sent["status"], sent["tries"]) == ("delivered", 204, 1)
        assert program.get("/api/v1/deliveries?state=delivered&webhook=board")["results"] == [sent]
        program.post(f"{where}/redeliver", {}, 202)
        do_duties()
    (first, body), (second, again) = target.got
    assert first["webhook-id"] == second["webhook-id"] == f"msg_{line['id'].replace('-', '')}"
    assert json.loads(body)["type"] == "test"
    assert body == again


def test_of_two_workers_one_sends(plant: House) -> None:
    with receiving() as target:
        told(plant, target)
        received(plant)
        queue_messages()
        seen = Delivery.objects.get()
        moment = later(seconds=1)
        with mock.patch("api.webhooks.telling._due", return_value=[seen, Delivery.objects.get()]):
            assert send_due(moment) == 1
    assert len(target.got) == 1


def test_while_nothing_waits_a_worker_asks_once_each(plant: House, django_assert_num_queries: Any) -> None:
    with receiving() as target:
        for number in range(3):
            told(plant, target, name=f"board {number}")
    for duty in (queue_messages, send_due):
        with django_assert_num_queries(1):
            assert duty() == 0


def test_the_log_is_forgotten_after_a_month_but_not_what_waits(plant: House) -> None:
    with receiving() as target:
        told(plant, target)
        received(plant)
        queue_messages()
        drain()
        received(plant)
        queue_messages()
    assert forget_log(now()) == 0
    assert forget_log(now() + LOG_KEPT + timedelta(minutes=1)) == 1
    assert Delivery.objects.get().state == "waiting"
