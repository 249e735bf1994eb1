"""Who asks: a program with its key, and what that key may do."""

from datetime import UTC, datetime
from typing import Any

from django.contrib.auth.models import User
from rest_framework.authentication import BaseAuthentication
from rest_framework.exceptions import AuthenticationFailed
from rest_framework.permissions import SAFE_METHODS, BasePermission
from rest_framework.request import Request

from api.models import Token
from api.tokens import token_of


class BearerAuthentication(BaseAuthentication):
    """`Authorization: Bearer …` (RFC 6750, section 2.1); browsers' sessions are not taken, so no form can forge one."""

    def authenticate(self, request: Request) -> tuple[User, Token] | None:
        """Find the key, or say that it does not open anything."""
        scheme, _space, secret = request.headers.get("Authorization", "").partition(" ")
        if not scheme:
            return None
        token = token_of(secret.strip(), now=datetime.now(UTC)) if scheme.casefold() == "bearer" else None
        if token is None:
            raise AuthenticationFailed("This key is unknown or its time is over. Make one with manage.py token.")
        return token.user, token

    def authenticate_header(self, request: Request) -> str:  # noqa: ARG002 - the framework's signature
        """Name the scheme in answer to a request without a key."""
        return 'Bearer realm="hilum"'


class HasScope(BasePermission):
    """Reading takes a key with `read`, anything else one with `write`; a view that only answers a post names `read`."""

    def has_permission(self, request: Request, view: Any) -> bool:
        """Hold the request against its key."""
        scope = "read" if request.method in SAFE_METHODS else getattr(view, "scope", "write")
        self.message = f"This key was not given the scope {scope}. Use one that was."
        return isinstance(request.auth, Token) and request.auth.may(scope)
