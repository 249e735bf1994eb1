"""System checks: what a server must not run with, each with an id and what to do about it.

`manage.py check` shows them; `bin/serve` and every command refuse to start on an error.
"""

from collections.abc import Iterator
from typing import Any

from django.conf import settings
from django.core import checks
from django.core.checks import CheckMessage, Error, register

from hilum.plugins.host import the_host

LOOPBACK = ("127.0.0.1", "localhost", "[::1]")
SHORTEST_SECRET = 50  # Django's own check --deploy asks for as many


@register
def check_the_server(**_: Any) -> list[CheckMessage]:
    """Name each unsafe setting at once."""
    return [*_secret(), *_address(), *_debugging()]


@register
def check_the_plugins(**_: Any) -> list[CheckMessage]:
    """Name each plugin that could not be taken in; the site runs without it."""
    return [
        checks.Warning(trouble.says, hint="Mend or uninstall it, then start again.", id="hilum.W010")
        for trouble in the_host().quarantined()
    ]


def _secret() -> Iterator[CheckMessage]:
    if len(settings.SECRET_KEY) < SHORTEST_SECRET:
        yield Error(
            f"The server's secret has {len(settings.SECRET_KEY)} characters; sign-ins could be forged by guessing it.",
            hint=f"Set HILUM_SECRET_KEY to at least {SHORTEST_SECRET} characters at random, or leave it out: one is "
            "made and kept in HILUM_DATA/secret.",
            id="hilum.E001",
        )


def _address() -> Iterator[CheckMessage]:
    host_part, _, port = settings.HILUM_BIND.rpartition(":")
    if not host_part or not port.isascii() or not port.isdigit():
        yield Error(
            f"HILUM_BIND is {settings.HILUM_BIND!r}, which names no address and port.",
            hint="Write it as host:port, for example 127.0.0.1:8000.",
            id="hilum.E002",
        )
    elif host_part not in LOOPBACK and set(settings.ALLOWED_HOSTS) <= set(LOOPBACK):
        yield checks.Warning(
            f"The site listens on {settings.HILUM_BIND}, but answers only to {', '.join(settings.ALLOWED_HOSTS)}.",
            hint="Set HILUM_HOSTS to the names people type, with commas between them.",
            id="hilum.W003",
        )
    if "*" in settings.ALLOWED_HOSTS:
        yield checks.Warning(
            "HILUM_HOSTS is *, so the site answers to any name and links in its pages can be forged.",
            hint="Set HILUM_HOSTS to the names people type, with commas between them.",
            id="hilum.W004",
        )


def _debugging() -> Iterator[CheckMessage]:
    if settings.DEBUG and not set(settings.ALLOWED_HOSTS) <= set(LOOPBACK):
        yield Error(
            "HILUM_DEBUG is 1 on a site that others can reach; its error pages show code and settings.",
            hint="Leave HILUM_DEBUG out, or HILUM_HOSTS on this computer alone.",
            id="hilum.E005",
        )
