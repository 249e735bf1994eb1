from typing import Any

import pytest
from django.core.checks import run_checks
from pytest_django import Settings

from hilum import checks
from hilum.plugins.host import Host

SAFE = {
    "SECRET_KEY": "x" * 64,
    "HILUM_BIND": "127.0.0.1:8000",
    "ALLOWED_HOSTS": ["127.0.0.1", "localhost"],
    "DEBUG": False,
}


def ids(settings: Settings, **changed: Any) -> list[str | None]:
    for name, value in {**SAFE, **changed}.items():
        setattr(settings, name, value)
    return [message.id for message in checks.check_the_server()]


@pytest.mark.parametrize(
    ("changed", "expected"),
    [
        ({}, []),
        ({"SECRET_KEY": "short"}, ["hilum.E001"]),
        ({"HILUM_BIND": "8000"}, ["hilum.E002"]),
        ({"HILUM_BIND": "localhost:"}, ["hilum.E002"]),
        ({"HILUM_BIND": "localhost:²"}, ["hilum.E002"]),
        ({"HILUM_BIND": "[::1]:8000"}, []),
        ({"HILUM_BIND": "0.0.0.0:8000"}, ["hilum.W003"]),
        ({"HILUM_BIND": "0.0.0.0:8000", "ALLOWED_HOSTS": ["seed.plant"]}, []),
        ({"ALLOWED_HOSTS": ["*"]}, ["hilum.W004"]),
        ({"DEBUG": True}, []),
        ({"DEBUG": True, "ALLOWED_HOSTS": ["seed.plant"]}, ["hilum.E005"]),
        ({"SECRET_KEY": "short", "HILUM_BIND": "x"}, ["hilum.E001", "hilum.E002"]),
    ],
)
def test_it_names_each_unsafe_setting(settings: Settings, changed: dict[str, Any], expected: list[str]) -> None:
    assert ids(settings, **changed) == expected


def test_every_message_says_what_to_do(settings: Settings) -> None:
    ids(settings, SECRET_KEY="short", HILUM_BIND="x", ALLOWED_HOSTS=["*"], DEBUG=True)
    messages = checks.check_the_server()
    assert len(messages) == 4
    assert [message.id for message in messages if not message.hint] == []


def test_django_runs_our_checks(settings: Settings) -> None:
    settings.SECRET_KEY = "short"
    assert "hilum.E001" in [message.id for message in run_checks()]


def test_it_names_a_plugin_that_was_left_out(monkeypatch: pytest.MonkeyPatch) -> None:
    def load() -> object:
        raise ImportError("no module named lamp")

    host = Host([("lamp", load)])
    monkeypatch.setattr(checks, "the_host", lambda: host)
    (message,) = checks.check_the_plugins()
    assert message.id == "hilum.W010"
    assert "The plugin lamp was left out" in message.msg
