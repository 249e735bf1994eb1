"""A program with its key, as tests send its requests."""

import json
from typing import Any
from uuid import uuid4

from django.contrib.auth.models import User
from django.test import Client

from api.tokens import make_token
from tests.make import NOW


class Program:
    """A program with its key."""

    def __init__(self, secret: str) -> None:
        self.client, self.secret = Client(), secret

    def get(self, address: str, status: int = 200) -> Any:
        return self._read(self.client.get(address, headers=self.headers), status)

    @property
    def headers(self) -> dict[str, str]:
        return {"Authorization": f"Bearer {self.secret}"}

    def post(self, address: str, body: Any, status: int = 201, key: str = "") -> Any:
        return self._read(self.send(address, body, key), status)

    def send(self, address: str, body: Any, key: str = "", method: str = "post", **more: str) -> Any:
        """Send a body; `more` are further headers, their hyphens as underscores."""
        headers = {**self.headers, "Idempotency-Key": key or str(uuid4())}
        headers |= {name.replace("_", "-"): value for name, value in more.items()}
        sent = body if isinstance(body, str | bytes) else json.dumps(body)
        return getattr(self.client, method)(address, sent, content_type="application/json", headers=headers)

    def _read(self, answer: Any, status: int) -> Any:
        assert answer.status_code == status, answer.content
        kind = "application/json" if status < 400 else "application/problem+json"
        assert answer["Content-Type"] == kind
        body = answer.json()
        if status >= 400:
            told = (body["status"], body["type"], body["request_id"])
            assert told == (status, f"http://testserver/api/problems/{body['code']}", answer["X-Request-ID"])
        return body


def program_of(person: User, *scopes: str) -> Program:
    """Give somebody's program a key: of these scopes, else for everything they may."""
    return Program(make_token(person, scopes=scopes or ("read", "write"), days=None, now=NOW))
