"""Made-up requests over the whole description, good and bad, held against every check that an outside tool has.

`HILUM_CASES=20 bin/test tests/api/test_cases.py` sends 10,000; without it CI sends 2,000.
"""

import json
import os
from collections.abc import Callable, Iterator
from typing import Any

import pytest
import schemathesis
from django.contrib.auth.models import User
from django.core.signals import request_finished, request_started
from django.core.wsgi import get_wsgi_application
from django.db import close_old_connections
from django.test import TestCase, override_settings
from hypothesis import HealthCheck, Phase, given, settings
from schemathesis.generation import GenerationMode

from api.tokens import make_token
from fixtures_demo.telling import build
from inventory.models import Station
from inventory.queries.verifying import verify
from tests.api.paths import COMMITTED
from tests.make import NOW

IN_CI = os.environ.get("CI") == "true"
EACH = int(os.environ.get("HILUM_CASES") or (5 if IN_CI else 1))
LEAST = {5: 2_000, 20: 10_000}.get(EACH, 0)  # in CI, and by the documented command
# What words mean cannot be said in a schema: a lot that is not there, more than is left, a day that is no day.
REFUSALS = ["2xx", "3xx", "400", "401", "403", "404", "409", "412", "413", "415", "422", "428"]
Wsgi = Callable[[dict[str, Any], Any], Any]


def with_its_description(site: Wsgi) -> Wsgi:
    """Serve the committed description beside the site: its own address is for people who are signed in."""

    def answer(environ: dict[str, Any], start: Any) -> Any:
        if environ["PATH_INFO"] == "/description.json":
            start("200 OK", [("Content-Type", "application/json")])
            return [json.dumps(COMMITTED).encode()]
        return site(environ, start)

    return answer


@pytest.mark.slow
@pytest.mark.own_site
@override_settings(ALLOWED_HOSTS=["localhost"])
class TestCases(TestCase):
    """On the demo season, which the cases may change as any program could."""

    @classmethod
    def setUpTestData(cls) -> None:
        build()
        secret = make_token(User.objects.get(username="records"), scopes=("read", "write"), days=None, now=NOW)
        cls.headers = {"Authorization": f"Bearer {secret}"}

    def setUp(self) -> None:
        """Keep the connection between requests, as Django's own test client does: all is one transaction here."""
        for signal in (request_started, request_finished):
            signal.disconnect(close_old_connections)
            self.addCleanup(signal.connect, close_old_connections)

    @pytest.mark.outside("schemathesis: OpenAPI contract checks, all of them")
    def test_whatever_is_sent_is_answered_as_described_and_the_books_stand_after_it(self) -> None:
        sent, faults = 0, {}
        for mode in (GenerationMode.POSITIVE, GenerationMode.NEGATIVE):
            for operation in operations():
                count, wrong = self.try_out(operation, mode)
                sent += count
                if wrong:
                    faults[f"{mode.value} {operation.method} {operation.path}"] = wrong[0]
        assert faults == {}
        print(f"{sent:,} made-up requests were sent.")  # noqa: T201 - whoever asked for ten thousand wants to see them
        assert sent >= LEAST
        assert verify(Station.objects.get()).is_whole

    def try_out(self, operation: Any, mode: GenerationMode) -> tuple[int, list[str]]:
        """Send cases to one address; count them, and tell what was wrong with the answers."""
        sent: list[int] = []
        wrong: list[str] = []

        @settings(
            max_examples=EACH, phases=[Phase.generate], deadline=None, database=None, derandomize=True,
            suppress_health_check=list(HealthCheck),
        )  # fmt: skip
        @given(case=operation.as_strategy(generation_mode=mode))
        def send(case: Any) -> None:
            sent.append(1)
            answer = case.call(headers=self.headers)
            try:
                case.validate_response(answer, headers=self.headers)
            except BaseExceptionGroup as group:
                wrong.extend(f"{fault} {answer.status_code} {answer.text[:300]}" for fault in group.exceptions)

        send()
        return len(sent), wrong


def operations() -> Iterator[Any]:
    """Every method of every address, as the outside tool reads them."""
    schema = schemathesis.openapi.from_wsgi("/description.json", with_its_description(get_wsgi_application()))
    schema.config.checks.positive_data_acceptance.expected_statuses = REFUSALS
    yield from (found.ok() for found in schema.get_all_operations())
