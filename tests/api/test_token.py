"""`manage.py token`."""

import io
import json
from typing import Any

import pytest
from django.core.management import call_command
from django.test import Client

from api.models import Token
from tests.make import House, house

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    return house()


def token(*words: str, **options: Any) -> str:
    out = io.StringIO()
    call_command("token", *words, stdout=out, **options)
    return out.getvalue()


def test_the_secret_is_the_last_line_and_opens_the_api(plant: House) -> None:
    secret = token("intake-st", "--scopes", "read,write", "--days", "7").splitlines()[-1]
    answer = Client().get("/api/v1/lots", headers={"Authorization": f"Bearer {secret}"})
    assert answer.status_code == 200


def test_it_answers_in_json(plant: House) -> None:
    assert json.loads(token("intake-st", "--json"))["scopes"] == ["read"]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("nobody",), "'nobody' is no account here. Name an account that is set up here."),
        (("intake-st", "--scopes", "rule"), "'rule' is no scope."),
        (("intake-st", "--scopes", ","), "is no scope."),
        (("intake-st", "--days", "0"), "A key cannot last 0 days."),
        (("intake-st", "--days", "99999999999"), "A key cannot last 99,999,999,999 days."),
    ],
)
def test_words_that_cannot_be_used_are_a_sentence(plant: House, words: tuple[str, ...], says: str) -> None:
    err = io.StringIO()
    with pytest.raises(SystemExit) as refusal:
        token(*words, stderr=err)
    assert refusal.value.code == 2
    assert says in err.getvalue()
    assert not Token.objects.exists()
