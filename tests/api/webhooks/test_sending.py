"""One message to a target that answers well, badly, slowly or without end."""

import time
from typing import Any
from unittest import mock

import pytest

from api.webhooks import sending
from api.webhooks.guarding import Target, target_of
from api.webhooks.sending import MOST_READ, send
from hilum.settings.networks import networks_from
from tests.api.webhooks.target import dripping, receiving


@pytest.fixture(autouse=True)
def loopback_named(settings: Any) -> None:
    settings.HILUM_WEBHOOK_NETWORKS = networks_from("127.0.0.0/8")


def test_a_message_arrives_with_its_headers() -> None:
    with receiving() as target:
        assert send(target_of(target.url), '{"a":"é"}', {"webhook-id": "m"}).is_taken
    headers, body = target.got[0]
    assert (headers["webhook-id"], headers["Content-Type"], body) == ("m", "application/json", '{"a":"é"}'.encode())


def test_it_goes_to_the_address_that_was_judged_under_the_name_that_was_asked_for() -> None:
    with receiving() as target:
        port = int(target.url.split(":")[2].split("/")[0])
        assert send(Target(False, "hooks.example", "127.0.0.1", port, "/x"), "{}", {}).is_taken
    assert target.got[0][0]["Host"] == f"hooks.example:{port}"


def test_a_way_to_another_address_is_not_followed() -> None:
    with receiving(302, 204) as target:
        answer = send(target_of(target.url), "{}", {})
    assert (answer.status, answer.is_taken, len(target.got)) == (302, False, 1)
    assert "not followed" in answer.says


def test_a_target_that_says_nothing_is_left_when_its_time_is_up() -> None:
    with mock.patch.object(sending, "ANSWER_WITHIN", 0.2), receiving(b"HTTP/1.1 200 OK\r\nX: ") as target:
        answer = send(target_of(target.url), "{}", {})
    assert answer.status is None
    assert "did not answer" in answer.says


@pytest.mark.parametrize(
    ("is_tls", "begins"),
    [
        (False, b"HTTP/1.1 200 OK\r\nX: "),
        (False, b"H"),
        # The head of a TLS record of 16 kB with a server's hello in it (RFC 8446, 5.1 and 4), which then never ends.
        (True, b"\x16\x03\x03\x40\x00\x02\x00\x3f\xfc"),
        (True, b""),
    ],
    ids=["a header", "a status line", "a handshake's message", "a handshake"],
)
def test_a_target_that_drips_is_left_when_its_time_is_up(is_tls: bool, begins: bytes) -> None:
    began = time.monotonic()
    with (
        mock.patch.object(sending, "ANSWER_WITHIN", 0.3), mock.patch.object(sending, "CONNECT_WITHIN", 0.3),
        dripping(begins) as port,
    ):  # fmt: skip
        answer = send(Target(is_tls, "hooks.example", "127.0.0.1", port, "/"), "{}", {})
    assert answer.status is None and not answer.is_taken
    assert time.monotonic() - began < 0.9


@pytest.mark.parametrize(
    "said",
    [
        b"x" * (3 * MOST_READ), b"HTTP/1.1 200 OK\r\n" + b"A: b\r\n" * MOST_READ, b"\r\n\r\n",
        b"HTTP/1.1 abc no\r\n\r\n",
        b"HTTP/1.1 100 Continue\r\n\r\n" * MOST_READ,
    ],
)  # fmt: skip
def test_an_answer_that_is_huge_or_none_is_cut_off(said: bytes) -> None:
    with mock.patch.object(sending, "ANSWER_WITHIN", 2.0), receiving(said) as target:
        answer = send(target_of(target.url), "{}", {})
    assert answer.status is None
    assert "could not be read" in answer.says


def test_the_body_of_an_answer_is_not_waited_for() -> None:
    with receiving(b"HTTP/1.1 200 OK\r\nContent-Length: 99999999999\r\n\r\nx") as target:
        assert send(target_of(target.url), "{}", {}).is_taken


def test_a_port_where_nobody_listens_and_a_certificate_that_is_none_are_said() -> None:
    with receiving() as target:
        assert not send(target_of(target.url.replace("http:", "https:")), "{}", {}).is_taken
    assert "could not be reached" in send(target_of(target.url), "{}", {}).says
