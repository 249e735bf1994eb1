"""What every act has in common: permission first, one transaction, one effect per key, tried again on collision.

`@action("receive")` turns a function with `station=`, `by=` and an optional `key=` into such an act. An act that is
called inside another joins its transaction, so that acts can be composed and still succeed or fail as one.
"""

import functools
import random
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, fields, is_dataclass
from typing import Any, ParamSpec, TypeVar

from django.contrib.auth.models import User
from django.db import IntegrityError, OperationalError, models, transaction

from inventory.models import Command, Identity, Lot, Operation, Station
from inventory.queries.signing_in import role_at
from inventory.queries.uses import in_parts
from inventory.rules.chain import fingerprint
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.reading import UNKEPT
from inventory.rules.roles import MayNot, may

P = ParamSpec("P")
_TRIES = 12  # about three seconds of waits: eight people at once who cross each other's lots all get through
_LONGEST_WAIT = 0.5  # seconds
_LONGEST_KEY = 200
_NOT_CONTENT = ("key", "now")  # a retry comes later by the clock and is still the same request
T = TypeVar("T")
_is_inside: ContextVar[bool] = ContextVar("an act is under way", default=False)


class KeyReused(Mistake):
    """An idempotency key came again with other content."""

    code = "key_reused"

    def __init__(self, key: str) -> None:
        super().__init__(
            f"The key {key!r} was used before with other content. Send a new key, or the same content.", field="key"
        )


class KeyTooLong(Mistake):
    """An idempotency key that is longer than its column."""

    code = "key_too_long"

    def __init__(self, length: int) -> None:
        super().__init__(
            f"The key has {length} characters; {_LONGEST_KEY} can be kept. Send a shorter one.", field="key"
        )


class UnkeptCharacter(Mistake):
    """A character that cannot be stored as text: a NUL, or half of a pair."""

    code = "unkept_character"

    def __init__(self, character: str) -> None:
        super().__init__(
            f"The text holds the character U+{ord(character):04X}, which cannot be kept. Take it out and send it again."
        )


@dataclass(frozen=True)
class Booked:
    """What an act wrote: its operations in order; the same again when its key is sent again."""

    operations: tuple[Operation, ...]

    @property
    def lots(self) -> list[Lot]:
        """The lots that were made, in order (one query for every 5,000 acts)."""
        keys = [operation.pk for operation in self.operations]
        parts = (Identity.objects.filter(operation_id__in=some).select_related("lot") for some in in_parts(keys))
        return [identity.lot for part in parts for identity in part.order_by("pk")]


def action(verb: str) -> Callable[[Callable[P, Booked]], Callable[P, Booked]]:
    """Make a function an act of this verb: see the module's own words."""

    def wrap(act: Callable[P, Booked]) -> Callable[P, Booked]:
        @functools.wraps(act)
        def run(*args: P.args, **kwargs: P.kwargs) -> Booked:
            station, by = _named(kwargs, "station", Station), _named(kwargs, "by", User)
            require(by, verb, station)
            if _is_inside.get():
                return act(*args, **kwargs)
            key = str(kwargs.get("key") or "")
            named = {name: value for name, value in kwargs.items() if name not in _NOT_CONTENT}
            words = [verb, _plain(args), _plain(named)]
            _refuse_unkept(key, words)
            asked = fingerprint(words) if key else ""
            return _tried_again(lambda: _once(station, key, asked, lambda: act(*args, **kwargs)))

        return run

    return wrap


def _refuse_unkept(key: str, words: Any) -> None:
    """Refuse what no database keeps, before anything is read."""
    if len(key) > _LONGEST_KEY:
        raise Refused([KeyTooLong(len(key))])
    for text in (key, *_texts(words)):
        if found := UNKEPT.search(text):
            raise Refused([UnkeptCharacter(found[0])])


def _texts(words: Any) -> Iterator[str]:
    if isinstance(words, str):
        yield words
    elif isinstance(words, dict | list):
        for word in words.values() if isinstance(words, dict) else words:
            yield from _texts(word)


def preparing(verb: str) -> Callable[[Callable[P, T]], Callable[P, T]]:
    """Make a function a change outside the ledger: permission first, one transaction, tried again on collision."""

    def wrap(change: Callable[P, T]) -> Callable[P, T]:
        @functools.wraps(change)
        def run(*args: P.args, **kwargs: P.kwargs) -> T:
            require(_named(kwargs, "by", User), verb, _named(kwargs, "station", Station))
            _refuse_unkept("", [_plain(args), _plain(kwargs)])
            return _tried_again(lambda: _in_one(lambda: change(*args, **kwargs)))

        return run

    return wrap


def _in_one(change: Callable[[], T]) -> T:
    with transaction.atomic():
        return change()


def require(by: User, verb: str, station: Station) -> None:
    """Let through whoever's role at the station may do this.

    Raises:
        Refused: the account has no such right.
    """
    role = role_at(station, by)
    if not by.is_active or not may(role, verb):
        raise Refused([MayNot(role, verb)])


def _named(kwargs: Any, name: str, kind: type[Any]) -> Any:
    value = kwargs.get(name)
    if not isinstance(value, kind):
        raise TypeError(f"An act needs {name}=, a {kind.__name__}.")
    return value


def _once(station: Station, key: str, asked: str, act: Callable[[], Booked]) -> Booked:
    """Do the act unless its key was used: then answer as the first time.

    The key's row is written first: a twin that is still running makes us wait there, and its end decides.
    """
    if key and (before := _answered(station, key, asked)):
        return before
    with as_one():
        if key:
            Command.objects.create(station=station, key=key, fingerprint=asked)
        return act()


def one_effect(acts: Callable[[], Booked], words: Any, *, station: Station, key: str) -> Booked:
    """Do several acts as one, all or none, under one key: sent again it answers as the first time.

    Args:
        acts: calls the acts; each asks for its own right. It is called again where others were in the way.
        words: what was asked for; the same key with other words is refused.
        key: "" for none.

    Raises:
        Refused: what an act says, or the key was used for something else.
    """
    plain_words = _plain(words)
    _refuse_unkept(key, plain_words)
    asked = fingerprint(plain_words) if key else ""
    return _tried_again(lambda: _once(station, key, asked, acts))


@contextmanager
def as_one() -> Iterator[None]:
    """Let all acts within succeed or fail together; each still asks for its own right."""
    with transaction.atomic(durable=True):
        token = _is_inside.set(True)
        try:
            yield
        finally:
            _is_inside.reset(token)


def _answered(station: Station, key: str, asked: str) -> Booked | None:
    before = Command.objects.filter(station=station, key=key).first()
    if before is None:
        return None
    if before.fingerprint != asked:
        raise Refused([KeyReused(key)])
    return Booked(tuple(Operation.objects.filter(station=station, key=key).order_by("seq")))


def _tried_again(act: Callable[[], T]) -> T:
    for attempt in range(_TRIES):
        try:
            return act()
        except (OperationalError, IntegrityError) as collision:
            if attempt == _TRIES - 1 or not is_collision(collision) or transaction.get_connection().in_atomic_block:
                raise
            time.sleep(random.uniform(0, min(0.02 * 2**attempt, _LONGEST_WAIT)))  # noqa: S311 - spreads the tries, guards no secret
    raise AssertionError("the last try returns or raises")


def is_collision(error: Exception) -> bool:
    """Say whether another act was in the way: serialization failure, deadlock, a busy file, a twin's key or number."""
    state = getattr(error.__cause__, "sqlstate", "")
    if state in ("40001", "40P01", "23505"):
        return True
    says = str(error)
    return "database is locked" in says or "database table is locked" in says or "UNIQUE constraint failed" in says


def _plain(value: Any) -> Any:
    """Write arguments so that the same request always prints the same."""
    if isinstance(value, models.Model):
        return [value._meta.label, value.pk]
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: _plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, dict):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    return value if value is None or isinstance(value, bool | int | str) else str(value)
