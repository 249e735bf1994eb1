"""Make keys for programs, and find the one that a secret belongs to."""

import hashlib
import secrets
from collections.abc import Sequence
from datetime import datetime, timedelta

from django.contrib.auth.models import User

from api.models import Token
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.reading import listed, quoted

SCOPES = ("read", "write")
LONGEST_DAYS = 3660
_NOTED_EVERY = timedelta(minutes=1)  # so that reading through the API does not write at each request


class UnknownScope(Mistake):
    """A scope that there is not."""

    code = "unknown_scope"

    def __init__(self, typed: str) -> None:
        super().__init__(f"{quoted(typed)} is no scope. Give {listed(list(SCOPES), 'and')}, or one.", field="scopes")


class DaysOutOfRange(Mistake):
    """A key's life that ends before it begins, or never."""

    code = "days_out_of_range"

    def __init__(self, days: int) -> None:
        super().__init__(f"A key cannot last {days:,} days. Give 1 to {LONGEST_DAYS:,}, or leave it out.", field="days")


def make_token(user: User, *, scopes: Sequence[str], days: int | None, now: datetime) -> str:
    """Make a key and return its secret, which is kept nowhere.

    Raises:
        Refused: an unknown scope, or days out of range.
    """
    mistakes: list[Mistake] = [UnknownScope(scope) for scope in scopes if scope not in SCOPES]
    if not scopes:
        mistakes.append(UnknownScope(""))
    if days is not None and not 1 <= days <= LONGEST_DAYS:
        mistakes.append(DaysOutOfRange(days))
    if mistakes:
        raise Refused(mistakes)
    secret = f"hilum_{secrets.token_urlsafe(32)}"
    kept = [scope for scope in SCOPES if scope in scopes]
    expires = now + timedelta(days=days) if days else None
    Token.objects.create(
        user=user, secret_hash=_print_of(secret), scopes=",".join(kept), created_at=now, expires_at=expires
    )
    return secret


def token_of(secret: str, *, now: datetime) -> Token | None:
    """Find the key of a secret unless its time is over or its account is closed; its use is noted (1 or 2 queries)."""
    token = Token.objects.filter(secret_hash=_print_of(secret)).select_related("user").first()
    if token is None or not token.user.is_active or (token.expires_at is not None and token.expires_at <= now):
        return None
    if token.last_used_at is None or now - token.last_used_at > _NOTED_EVERY:
        Token.objects.filter(pk=token.pk).update(last_used_at=now)
    return token


def _print_of(secret: str) -> str:
    """A plain digest is enough: the secret is 256 random bits, not a word that could be guessed."""
    return hashlib.sha256(secret.encode("utf-8", "surrogatepass")).hexdigest()
