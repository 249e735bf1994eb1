"""What a request asks for beside its body: parameters, key, account and station; read or refused, never passed over."""

from collections.abc import Mapping, Sequence
from difflib import get_close_matches

from django.contrib.auth.models import User
from django.http import Http404
from rest_framework.request import Request

from api.models import Token
from api.problems import Unusable
from inventory.importing.words import UnknownWord
from inventory.models import Station
from inventory.queries.signing_in import station_of
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import quoted

LONGEST_KEY = 200
REPLAYED = "Idempotency-Replayed"
_YES, _NO = ("1", "true", "yes"), ("", "0", "false", "no")


class ParameterUnread(Mistake):
    """A parameter with something behind it that is not read there."""

    code = "parameter_unread"

    def __init__(self, name: str, typed: str, wanted: str) -> None:
        super().__init__(f"{name} reads {quoted(typed[:40])}. Give {wanted}.", field=name)


class KeyMissing(Mistake):
    """An act without its key: sent twice after a lost answer, it would be done twice."""

    code = "key_missing"

    def __init__(self) -> None:
        says = "An act needs the header Idempotency-Key, so that sending it again does not do it again."
        super().__init__(f"{says} Send a new one, such as a UUID, with each act; the same one when you try again.")


class KeyTooLong(Mistake):
    """A key that is longer than what is kept of it."""

    code = "key_too_long"

    def __init__(self, length: int, longest: int) -> None:
        super().__init__(f"The Idempotency-Key has {length:,} characters. Give at most {longest}.")


def asked(request: Request, *known: str) -> Mapping[str, str]:
    """Read the parameters of an address.

    Args:
        known: the parameters that are read there.

    Raises:
        Unusable: there is another, which would change nothing while its sender believes it does.
    """
    unknown = [name for name in request.query_params if name not in known]
    if unknown:
        raise Unusable(*(UnknownWord("parameter here", name, _nearby(name, known), field=name) for name in unknown))
    return {name: request.query_params.get(name, "") for name in known}


def _nearby(name: str, known: Sequence[str]) -> Sequence[str]:
    """Leave comparisons out where a plain name is meant: "device", before "device__in", for "device_id"."""
    plain = [one for one in known if "__" not in one]
    return plain if "__" not in name and get_close_matches(name.casefold(), plain, cutoff=0.5) else known or ("none",)


def yes_or_no(name: str, typed: str) -> bool:
    """Read a parameter that is yes or no; empty is no.

    Raises:
        Unusable: it is neither.
    """
    if typed.casefold() not in (*_YES, *_NO):
        raise Unusable(ParameterUnread(name, typed, "true or false"))
    return typed.casefold() in _YES


def key_of(request: Request, longest: int = LONGEST_KEY) -> str:
    """Read the Idempotency-Key, in quotes or without.

    Args:
        longest: characters that are taken.

    Raises:
        Unusable: there is none, or it is too long.
    """
    key = request.headers.get("Idempotency-Key", "").strip().strip('"').strip()
    if not key:
        raise Unusable(KeyMissing())
    if len(key) > longest:
        raise Unusable(KeyTooLong(len(key), longest))
    return key


def key_if_sent(request: Request) -> str:
    """Read the Idempotency-Key where there is one; "" where there is none."""
    return key_of(request) if request.headers.get("Idempotency-Key") else ""


def person_of(request: Request) -> User:
    """Give the account whose key was sent."""
    if not isinstance(request.user, User):
        raise TypeError("the API is for keys of accounts")
    return request.user


def key_sent(request: Request) -> Token:
    """Give the key that was sent."""
    if not isinstance(request.auth, Token):
        raise TypeError("the API is for keys")
    return request.auth


def station_for(request: Request) -> Station:
    """Find the station of the key; nothing of another is ever shown.

    Raises:
        Http404: none is set up yet.
    """
    station = key_sent(request).station or station_of(person_of(request))[0]
    if station is None:
        raise Http404("No station is set up yet.")
    return station
