"""Many acts by one request: all or none of them, or each for itself; sent again with the same key they are done once.

Each act has a key of its own, made of the request's key and its place, so that what it wrote is found again.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from typing import Any

from django.contrib.auth.models import User
from django.db import transaction

from inventory.actions.acting import Booked, one_effect
from inventory.importing.acts import Act, plain_verb
from inventory.importing.words import UnknownWord, WrongShape, fill
from inventory.models import Operation, Station
from inventory.queries.uses import in_parts
from inventory.rules.mistakes import Mistake, Refused

MOST = 1000  # acts of one request
MOST_NAMED = 200  # mistakes of one answer


@dataclass(frozen=True)
class Ready:
    """One act of many, its words read.

    Args:
        key: its own.
    """

    verb: str
    act: Act
    words: Any
    reason: str
    answers: Mapping[str, str]
    key: str


def body_parts(act: Act, body: Mapping[str, Any]) -> tuple[dict[str, Any], str, dict[str, str]]:
    """Part what a program sent for an act: its words, the reason, and the answers to questions.

    Raises:
        Refused: the reason or an answer is no text, or the answers are no object.
    """
    words = dict(body)
    answers, reason = words.pop("answers", None) or {}, words.get("reason") or ""
    if "reason" not in [field.name for field in fields(act.words)]:
        words.pop("reason", None)
    if not isinstance(reason, str):
        raise Refused([WrongShape("reason", reason, "a text")])
    if not isinstance(answers, Mapping):
        raise Refused([WrongShape("answers", answers, "an object of code and reason")])
    if wrong := [
        WrongShape(f"answers.{code}", why, "a text") for code, why in answers.items() if not isinstance(why, str)
    ]:
        raise Refused(wrong)
    return words, reason, dict(answers)


def read_act(verb: str, body: Mapping[str, Any], known: Mapping[str, Act], *, key: str) -> Ready:
    """Read one act of many.

    Args:
        known: the acts that are offered, by their verbs.

    Raises:
        Refused: the verb is none of them, or a field is of the wrong shape; fields are named as in the item.
    """
    act = known.get(plain_verb(verb))
    if act is None:
        raise Refused([UnknownWord("act", verb, list(known), field="verb")])
    try:
        words, reason, answers = body_parts(act, body)
        return Ready(verb, act, fill(act.words, words), reason, answers, key)
    except Refused as refused:
        raise Refused(under("words", refused.mistakes)) from None


def key_in(key: str, place: int) -> str:
    """Give the key of one act of many.

    Args:
        place: counted from one.
    """
    return f"{key}#{place}"


def do_together(acts: Sequence[Ready], *, station: Station, by: User, key: str) -> list[list[Operation]]:
    """Do all acts in their order, or none: a later one may use what an earlier one made.

    Returns:
        What each wrote.

    Raises:
        Refused: what stands in the way of any, its fields named by place: "items.3.words.gross".
    """
    words = ["bulk", [[plain_verb(one.verb), one.words, one.reason, dict(one.answers)] for one in acts]]
    one_effect(lambda: _all_of(acts, station, by), words, station=station, key=key)
    return written_by([one.key for one in acts], station)


def do_each(one: Ready, *, station: Station, by: User) -> Booked:
    """Do one act of many for itself.

    Raises:
        Refused: what stands in its way, its fields named as in the item.
    """
    try:
        return _do(one, station, by)
    except Refused as refused:
        raise Refused(under("words", refused.mistakes)) from None


def written_by(keys: Sequence[str], station: Station) -> list[list[Operation]]:
    """Find what acts wrote by their keys, in the order of the keys (1 query for every 5,000)."""
    found: dict[str, list[Operation]] = {key: [] for key in keys}
    for some in in_parts(list(keys)):
        for operation in Operation.objects.filter(station=station, key__in=some).order_by("seq"):
            found[operation.key].append(operation)
    return [found[key] for key in keys]


def at_body_fields(mistakes: Iterable[Mistake], words: type[Any]) -> list[Mistake]:
    """Point mistakes at what a body has: the part they were found in, a field, or the act as a whole.

    Args:
        words: the dataclass of the act's typed words; what is said of one plot stands in its `plots`.
    """
    known = {field.name for field in fields(words)} | {"answers", "reason", ""}
    pointed = list(mistakes)
    for mistake in pointed:
        head = mistake.field.partition(".")[0]
        if mistake.part:
            mistake.field, mistake.part = mistake.part, ""
        elif head not in known and mistake.code != "unknown_word":
            mistake.field = f"{head}s" if f"{head}s" in known else ""
    return pointed


def under(where: str, mistakes: Iterable[Mistake]) -> Iterator[Mistake]:
    """Name the fields of mistakes within a larger whole; where a mistake has none it belongs to that place."""
    for mistake in mistakes:
        mistake.field = f"{where}.{mistake.field}" if mistake.field else where
        yield mistake


def _all_of(acts: Sequence[Ready], station: Station, by: User) -> Booked:
    mistakes: list[Mistake] = []
    for place, one in enumerate(acts, start=1):
        try:
            with transaction.atomic():  # so that what is refused leaves nothing for the next to stumble over
                _do(one, station, by)
        except Refused as refused:
            mistakes.extend(under(f"items.{place}.words", refused.mistakes))
        if len(mistakes) >= MOST_NAMED:
            break
    if mistakes:
        raise Refused(mistakes)
    return Booked(())


def _do(one: Ready, station: Station, by: User) -> Booked:
    try:
        return one.act.do(one.words, station=station, by=by, key=one.key, reason=one.reason, answers=one.answers)
    except Refused as refused:
        raise Refused(at_body_fields(refused.mistakes, one.act.words)) from None
