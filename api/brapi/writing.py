"""What all writes have in common: one effect a key, and questions with how to answer them."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from decimal import Decimal
from typing import Any

from api.brapi.asked import Asked
from api.brapi.errors import BadRequest
from api.brapi.observations import moment_sent
from api.brapi.outside import text_sent
from inventory.actions.acting import Booked, one_effect
from inventory.rules.chain import fingerprint
from inventory.rules.mistakes import Level, Refused
from inventory.rules.reading import listed

MOST = 1000  # things that one request writes
_ASKS = (Level.QUESTION, Level.DUPLICATE)
_ANSWER = "answer."


def booked_once(asked: Asked, acts: Callable[[str], Booked], sent: Iterable[Mapping[str, Any]]) -> Booked:
    """Do acts as one, all or none; the same request again is one effect where it says which one it is.

    It says so by an Idempotency-Key, or because each thing in it bears an externalReference or, for observations, the
    moment at which it was seen: then the whole body is its key.

    Args:
        acts: does them under the key that it is given.

    Raises:
        Refused: an act is.
        BadRequest: an act asks something, with how to answer it.
    """
    things = list(sent)
    body = _plain(asked.request.data)
    key = asked.key or _own_key(asked, things, body)
    with asking():
        return one_effect(lambda: acts(key), [asked.request.path, body], station=asked.station, key=key)


def too_many(count: int) -> None:
    """Refuse more things than one request may write.

    Raises:
        BadRequest: there are more.
    """
    if count > MOST:
        raise BadRequest(f"There are {count:,} things in the body; {MOST:,} are taken at once. Send the rest after.")


@contextmanager
def asking() -> Iterator[None]:
    """Word questions so that a program's writer knows how they are answered."""
    try:
        yield
    except Refused as refused:
        asks = [mistake for mistake in refused.mistakes if mistake.level in _ASKS]
        if not asks or len(asks) < len(refused.mistakes):
            raise
        codes = listed(
            [f'"{_ANSWER}{code}": "why it is right"' for code in dict.fromkeys(one.code for one in asks)], "and"
        )
        says = " ".join(one.says for one in asks)
        raise BadRequest(f"{says} If it is right, send the same again with {codes} in additionalInfo.") from None


def told_beside(sent: Mapping[str, Any]) -> dict[str, str]:
    """Read additionalInfo: texts by name.

    Raises:
        BadRequest: it is no object, or holds more than texts.
    """
    told = sent.get("additionalInfo")
    if told is None:
        return {}
    if not isinstance(told, Mapping):
        raise BadRequest("additionalInfo is an object of texts. Send it so.")
    return {str(name): text for name in told if (text := text_sent(told, str(name)))}


def answers_in(things: Iterable[Mapping[str, Any]]) -> dict[str, str]:
    """Read the answers to questions that stand in additionalInfo as "answer.CODE"."""
    return {
        name.removeprefix(_ANSWER): why
        for one in things
        for name, why in told_beside(one).items()
        if name.startswith(_ANSWER)
    }


def amount_sent(sent: Mapping[str, Any], name: str = "amount") -> str | None:
    """Read an amount: a number, or digits as text; None where there is none.

    Raises:
        BadRequest: it is something else, or less than nothing.
    """
    value = sent.get(name)
    if value is None or value == "":
        return None
    if isinstance(value, bool) or not isinstance(value, int | float | Decimal | str):
        raise BadRequest(f"{name} is a number here. Send it so, such as 12.5.")
    text = str(value).strip()
    if text.startswith("-"):
        raise BadRequest(f"{name} reads {text[:40]}. Give 0 or more; from and to say which way it went.")
    return text


def when_sent(sent: Mapping[str, Any], name: str) -> str:
    """Read an instant that may be left out; with its zone.

    Raises:
        BadRequest: it is none, or has no zone.
    """
    text = text_sent(sent, name)
    return moment_sent(name, text).isoformat() if text else ""


def _own_key(asked: Asked, things: list[Mapping[str, Any]], body: Any) -> str:
    is_told = bool(things) and all(one.get("externalReferences") or one.get("observationTimeStamp") for one in things)
    return f"brapi {fingerprint([asked.request.method, asked.request.path, asked.person.pk, body])}" if is_told else ""


def _plain(value: Any) -> Any:
    """Write a body so that the same one always prints the same."""
    if isinstance(value, Mapping):
        return {str(name): _plain(one) for name, one in value.items()}
    if isinstance(value, list):
        return [_plain(one) for one in value]
    return value if value is None or isinstance(value, bool | int | str) else str(value)
