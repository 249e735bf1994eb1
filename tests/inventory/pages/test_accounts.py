"""Signing in and out."""

import re
from datetime import UTC, datetime, timedelta

import pytest
from django.test import Client

from inventory.models import WrongPassword
from inventory.queries.signing_in import LOCKED_FOR, MOST_WRONG
from tests.make import House, house

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    plant = house()
    plant.intake.set_password("a long enough word")
    plant.intake.save()
    return plant


def try_with(client: Client, password: str, name: str = "intake-st"):
    return client.post("/sign-in/", {"username": name, "password": password})


@pytest.mark.parametrize(
    "page", ["/", "/lots/", "/lots/24-0016-5/", "/find?q=1", "/of/line/N-1/", "/admin/", "/admin/login/"]
)
def test_every_page_leads_to_the_sign_in_form_when_signed_out(client: Client, page: str) -> None:
    page_html = client.get(page, follow=True)
    assert page_html.redirect_chain[-1][0].startswith("/sign-in/")
    fields = re.findall(r'<input[^>]*type="(\w+)"', page_html.content.decode())
    assert sorted(kind for kind in fields if kind != "hidden") == ["password", "text"]


def test_the_right_password_opens_the_page_that_was_asked_for(client: Client, plant: House) -> None:
    words = {"username": "intake-st", "password": "a long enough word", "next": "/lots/"}
    assert client.post("/sign-in/", words)["Location"] == "/lots/"


def test_it_does_not_lead_to_another_host_after_signing_in(client: Client, plant: House) -> None:
    words = {"username": "intake-st", "password": "a long enough word", "next": "https://elsewhere.example/"}
    assert client.post("/sign-in/", words)["Location"] == "/"


def test_a_wrong_password_is_a_sentence(client: Client, plant: House) -> None:
    answer = try_with(client, "wrong")
    assert answer.status_code == 422
    assert "Name and password do not belong together. Type both again." in answer.content.decode()


def test_ten_wrong_passwords_lock_the_name_even_for_the_right_one(client: Client, plant: House) -> None:
    for _ in range(MOST_WRONG):
        try_with(client, "wrong", "Intake-ST")
    answer = try_with(client, "a long enough word")
    assert answer.status_code == 429
    assert "locked for a quarter of an hour" in answer.content.decode()
    assert "_auth_user_id" not in client.session


def test_nine_do_not_and_a_right_one_starts_the_count_anew(client: Client, plant: House) -> None:
    for _ in range(MOST_WRONG - 1):
        try_with(client, "wrong")
    assert try_with(client, "a long enough word").status_code == 302
    assert not WrongPassword.objects.exists()


def test_the_lock_opens_by_itself(client: Client, plant: House) -> None:
    for _ in range(MOST_WRONG):
        try_with(client, "wrong")
    WrongPassword.objects.update(at=datetime.now(UTC) - LOCKED_FOR - timedelta(seconds=1))
    assert try_with(client, "a long enough word").status_code == 302


@pytest.mark.parametrize("name", ["nobody", "n" * 5000, "\0", "", "O'Bean; --"])
def test_a_name_that_cannot_be_is_refused_and_not_a_fault(client: Client, plant: House, name: str) -> None:
    assert try_with(client, "wrong", name).status_code == 422


def test_signing_out_takes_a_post(client: Client, plant: House) -> None:
    client.force_login(plant.intake)
    assert client.get("/sign-out/").status_code == 405
    assert client.post("/sign-out/")["Location"] == "/sign-in/"
    assert client.get("/").status_code == 302


def test_cookies_stay_on_this_site_and_out_of_scripts(client: Client, plant: House) -> None:
    client.get("/sign-in/")
    try_with(client, "a long enough word")
    assert {name for name, cookie in client.cookies.items() if not cookie["samesite"]} == set()
    assert {name for name, cookie in client.cookies.items() if not cookie["httponly"]} <= {"csrftoken"}


def test_answers_forbid_scripts_and_styles_from_elsewhere(client: Client) -> None:
    policy = client.get("/sign-in/")["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
