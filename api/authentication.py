"""Who asks: a program with its key, what that key may do, and how often."""

from datetime import UTC, datetime
from typing import Any

from django.contrib.auth.models import User
from rest_framework.authentication import BaseAuthentication
from rest_framework.exceptions import AuthenticationFailed
from rest_framework.permissions import SAFE_METHODS, BasePermission
from rest_framework.request import Request
from rest_framework.throttling import SimpleRateThrottle

from api.device_keys import must_be_for_devices
from api.models import Token
from api.scopes import READ, WRITE, ScopeMissing, opens, resource_of, wanted
from api.tokens import token_of
from inventory.rules.reading import quoted


class BearerAuthentication(BaseAuthentication):
    """`Authorization: Bearer …` (RFC 6750, section 2.1); browsers' sessions are not taken, so no form can forge one."""

    def authenticate(self, request: Request) -> tuple[User, Token] | None:
        """Find the key, or say that it does not open anything."""
        scheme, _space, secret = request.headers.get("Authorization", "").partition(" ")
        if not scheme:
            return None
        if scheme.casefold() != "bearer":
            says = (
                f"The header Authorization begins with {quoted(scheme[:20])}. Write it as Bearer, a blank and the key."
            )
            raise AuthenticationFailed(says)
        token = token_of(secret.strip(), now=datetime.now(UTC))
        if token is None:
            raise AuthenticationFailed(
                "This key is unknown, was ended or its time is over. Make one on the page Connections, "
                "or with manage.py token."
            )
        must_be_for_devices(request, token)  # here, so that no view's own permissions let one through
        return token.user, token

    def authenticate_header(self, request: Request) -> str:  # noqa: ARG002 - the framework's signature
        """Name the scheme in answer to a request without a key."""
        return 'Bearer realm="hilum"'


class HasScope(BasePermission):
    """Reading takes a key with `read` for what is read, anything else `write`; a view that only answers says `read`."""

    def has_permission(self, request: Request, view: Any) -> bool:
        """Hold the request against its key."""
        if not isinstance(request.auth, Token):
            return False
        verb = READ if request.method in SAFE_METHODS else getattr(view, "scope", WRITE)
        resource = resource_of(request.path)
        if request.method in SAFE_METHODS and getattr(view, "is_for_every_key", False):
            return True
        if not opens(request.auth.given, resource, verb):
            raise ScopeMissing(wanted(resource, verb), request.auth.given)
        return True


class EachKey(SimpleRateThrottle):
    """So many requests a minute for each key, so that one program that runs wild does not slow a scale down.

    The count is kept by each process that serves; HILUM_API_RATE sets it, `none` lifts it.
    """

    scope = "key"

    def get_cache_key(self, request: Request, view: Any) -> str | None:  # noqa: ARG002 - the framework's signature
        """Count by key; without one nothing is answered anyway."""
        return f"hilum-key-{request.auth.pk}" if isinstance(request.auth, Token) else None
