"""Typed words into the frozen dataclass of an act, whichever door they came through: arguments or one JSON object.

Nothing is judged here but the shape: an unknown field, a list where one word belongs, a word where a whole number
does. What the words mean is read by the act itself, so that every door is held to the same rules.
"""

import difflib
import json
import re
import types
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import MISSING, fields, is_dataclass
from decimal import Decimal, InvalidOperation
from typing import Any, TypeVar, Union, get_args, get_origin, get_type_hints

from inventory.importing.telling import LOOKS
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.reading import MAX_TYPED, UNKEPT, JsonText, field_words, listed, plain, quoted, typed_text

T = TypeVar("T")
LONGEST = 1_000_000  # characters of one JSON object; a run with all its spouts has a few hundred
_YES, _NO = ("yes", "y", "true", "1", "on"), ("no", "n", "false", "0", "off")
_DECIMAL = re.compile(r"[+-]?\d+([.,]\d+)?")
_GROUP = 3  # digits of a thousand: 1 000 is one number
_FEWEST_DOUBTFUL = 4
_MOST_WHOLE_DIGITS = 9  # no count or year is longer, and the database keeps ten


class UnknownWord(Mistake):
    """A verb or field that there is not, with the nearest that there are."""

    code = "unknown_word"

    def __init__(self, what: str, typed: str, known: Sequence[str], *, field: str = "") -> None:
        near = difflib.get_close_matches(typed.casefold(), known, n=3, cutoff=0.5)
        advice = f"Did you mean {listed(near)}?" if near else f"There are {listed(list(known), 'and')}."
        super().__init__(f"{quoted(typed)} is no {what}. {advice}", field=field, proposal=near[0] if near else None)


class WrongShape(Mistake):
    """A value of another shape than the field takes."""

    code = "wrong_shape"

    def __init__(self, field: str, typed: object, wanted: str) -> None:
        super().__init__(f"{field_words(field)} reads {quoted(_shown(typed))}. Give {wanted}.", field=field)


class WordMissing(Mistake):
    """A field that the act cannot do without."""

    code = "missing"

    def __init__(self, field: str, given_as: str = "") -> None:
        super().__init__(f"{field_words(field)} is missing. Give it as {given_as or field}=…", field=field)


class CommasMean(Mistake):
    """A list in which a comma may part the numbers or their decimals."""

    code = "commas_mean"

    def __init__(self, field: str, typed: str, numbers: Sequence[str]) -> None:
        super().__init__(
            f"{field_words(field)} reads {quoted(typed)}. If commas are decimal signs, put semicolons between: "
            f"{'; '.join(numbers)}. If it is a list of {2 * len(numbers)} numbers, put a blank behind each comma.",
            field=field,
        )


class NoCommas(Mistake):
    """Numbers with blanks between them where a list takes commas."""

    code = "no_commas"

    def __init__(self, field: str, typed: str, numbers: Sequence[str]) -> None:
        says = f"{field_words(field)} reads {quoted(typed)}. Put commas between the numbers: {', '.join(numbers)}."
        super().__init__(says, field=field, proposal=", ".join(numbers))


class NotWords(Mistake):
    """What was sent is not field=value, or not one JSON object."""

    code = "not_words"


def pairs(typed: Sequence[str]) -> dict[str, Any]:
    """Read `field=value` words; `outs.1.mass=741.2` and `taken_off.throughs=30.6` go one floor down.

    Raises:
        Refused: a word without "=", or a field that stands twice.
    """
    words: dict[str, Any] = {}
    mistakes: list[Mistake] = []
    for text in typed:
        name, equals, value = _kept(text).partition("=")
        name = name.strip()
        if not equals or not name:
            mistakes.append(NotWords(f"{quoted(text)} is no field with its value. Write it like net=842."))
        elif not _put(words, name.strip().split("."), value):
            mistakes.append(
                NotWords(f"{name.strip()} stands twice. Keep one; a list takes commas.", field=name.strip())
            )
    if mistakes:
        raise Refused(mistakes)
    return words


def json_object(text: str, longest: int = LONGEST) -> dict[str, Any]:
    """Read one JSON object exactly: numbers as Decimal with the digits that were sent, no name twice.

    Args:
        longest: characters that are read.

    Raises:
        Refused: it is something else.
    """
    if len(text) > longest:
        raise Refused([NotWords(f"The text has {len(text):,} characters; one act takes a few hundred. Send one.")])
    read = json_value(text, "one object in braces")
    if not isinstance(read, dict):
        raise Refused([NotWords("What was sent is no object. Send the act's fields in one pair of braces.")])
    return read


def json_value(text: str, wanted: str) -> Any:
    """Read JSON of any shape as exactly as `json_object` does.

    Args:
        wanted: what to send instead of what is no JSON, for the sentence.

    Raises:
        Refused: it is no JSON, or too deep.
    """
    try:
        return json.loads(
            text, parse_float=_number, parse_int=_number, parse_constant=str, object_pairs_hook=_once
        )  # fmt: skip
    except json.JSONDecodeError as fault:
        says = f"This is not JSON: {fault.msg} at line {fault.lineno}, column {fault.colno}. Send {wanted}."
        raise Refused([NotWords(says)]) from None
    except RecursionError:
        raise Refused([NotWords(f"The braces are nested too deep. Send {wanted}.")]) from None


def fill(kind: type[T], words: Mapping[str, Any], where: str = "") -> T:
    """Make the dataclass of an act from its words.

    Args:
        kind: a frozen keyword-only dataclass of typed words.
        words: field -> text, number, list or object, as a person or program sent it.
        where: the field this is nested in, for sentences.

    Raises:
        Refused: every unknown field and wrong shape at once.
    """
    hints = get_type_hints(kind)
    known = [field.name for field in fields(kind)]  # type: ignore[arg-type]
    mistakes: list[Mistake] = [
        UnknownWord("field of it", str(name), known, field=f"{where}{name}") for name in words if name not in known
    ]
    values: dict[str, Any] = {}
    for field in fields(kind):  # type: ignore[arg-type]
        if words.get(field.name) is None:
            if field.default is MISSING and field.default_factory is MISSING:
                name = f"{where}{field.name}"
                mistakes.append(WordMissing(name, _given_as(hints[field.name], name)))
            continue
        try:
            values[field.name] = _shaped(hints[field.name], words[field.name], f"{where}{field.name}")
        except Refused as refused:
            mistakes.extend(refused.mistakes)
    if mistakes:
        raise Refused(mistakes)
    return kind(**values)


def _shaped(hint: Any, value: Any, name: str) -> Any:
    """Bring a value into the shape of its annotation."""
    origin, inner = get_origin(hint), get_args(hint)
    if origin in (Union, types.UnionType):
        return _shaped(next(one for one in inner if one is not type(None)), value, name)
    if origin is not None and issubclass(origin, Mapping):
        return _mapping(inner[1], value, name)
    if origin is not None and issubclass(origin, Sequence):
        return _sequence(inner[0], value, name)
    if is_dataclass(hint) and isinstance(hint, type):
        return fill(hint, _object(value, name, fields(hint)[0].name), f"{name}.")
    if hint is JsonText:
        text = value if isinstance(value, str) else json.dumps(value, ensure_ascii=False, default=_digits)
        return JsonText(_kept(text, name))
    if isinstance(value, Mapping | list):
        raise Refused([WrongShape(name, value, _one_value(name))])
    if isinstance(value, str):
        _kept(value, name)
    simple = {str: _text, int: _whole, bool: _yes_or_no}.get(hint)
    return simple(value, name) if simple else value


def _one_value(name: str) -> str:
    looks = LOOKS.get(name.rpartition(".")[2])
    return f"one value: {looks}" if looks else "one value"


def _text(value: Any, _name: str) -> str:
    return typed_text(value)


def _whole(value: Any, name: str) -> int:
    text = plain(typed_text(value)).removesuffix(".0")
    if isinstance(value, bool) or not text.isdecimal() or len(text) > _MOST_WHOLE_DIGITS:
        raise Refused([WrongShape(name, value, "a whole number in digits, such as 24")])
    return int(text)


def _yes_or_no(value: Any, name: str) -> bool:
    text = plain(typed_text(value)).casefold()
    if text not in (*_YES, *_NO):
        raise Refused([WrongShape(name, value, "yes or no")])
    return text in _YES


def _mapping(inner: Any, value: Any, name: str) -> dict[str, Any]:
    return {str(key): _shaped(inner, item, f"{name}.{key}") for key, item in _object(value, name).items()}


def _sequence(inner: Any, value: Any, name: str) -> tuple[Any, ...]:
    if isinstance(value, Mapping):
        items = [item for _key, item in sorted(value.items(), key=lambda pair: (len(str(pair[0])), str(pair[0])))]
    elif isinstance(value, list):
        items = value
    elif is_dataclass(inner):
        raise Refused([WrongShape(name, value, f"its parts one by one, such as {name}.1.{fields(inner)[0].name}=…")])
    else:
        items = _parted(typed_text(value), name)
    return tuple(_shaped(inner, item, f"{name}.{index}") for index, item in enumerate(items, start=1))


def _parted(text: str, name: str) -> list[str]:
    """Part a list: by commas; by semicolons alone where the commas between them are decimal signs."""
    by_semicolon = [part.strip() for part in text.split(";") if part.strip()]
    if len(by_semicolon) > 1 and all(_DECIMAL.fullmatch(part) for part in by_semicolon):
        return by_semicolon
    items = [part.strip() for part in text.replace(";", ",").split(",") if part.strip()]
    pairs = list(zip(items[::2], items[1::2], strict=False))
    if _may_be_decimals(text, items, pairs):
        raise Refused([CommasMean(name, text, [",".join(pair) for pair in pairs])])
    numbers = text.split()
    is_grouped = all(len(part) == _GROUP for part in numbers[1:])
    if len(items) == 1 and len(numbers) > 1 and all(map(_DECIMAL.fullmatch, numbers)) and not is_grouped:
        raise Refused([NoCommas(name, text, numbers)])
    return items


def _may_be_decimals(text: str, items: Sequence[str], pairs: Sequence[tuple[str, str]]) -> bool:
    """Say whether an even list alternates as 18,2,18,1 does: numbers near each other, and single digits between."""
    if len(items) < _FEWEST_DOUBTFUL or len(items) % 2 or " " in text.strip() or not all(map(str.isdecimal, items)):
        return False
    firsts = [int(first) for first, _digit in pairs]
    near = min(firsts) >= 10 and max(firsts) <= min(firsts) * 1.5
    return near and all(len(digit) == 1 for _first, digit in pairs)


def _given_as(hint: Any, name: str) -> str:
    """How a field is typed: the parts of a list of parts one by one."""
    origin, inner = get_origin(hint), get_args(hint)
    if origin is not None and issubclass(origin, Mapping):
        return f"{name}.NAME"
    if origin is not None and issubclass(origin, Sequence) and is_dataclass(inner[0]):
        return f"{name}.1.{fields(inner[0])[0].name}"
    return name


def as_typed(words: Mapping[str, Any]) -> list[str]:
    """Write words as `field=value`, so that `pairs` and `fill` read the same again: `outs.1.mass=741.2`.

    Args:
        words: field -> text, list or mapping, nested as acts and figures nest them.
    """
    return [f"{name}={text}" for field, value in words.items() for name, text in _flat(field, value)]


def _flat(name: str, value: Any) -> Iterator[tuple[str, str]]:
    if isinstance(value, list | tuple) and not any(_is_nested(one) for one in value):
        yield name, ", ".join(map(typed_text, value))
    elif isinstance(value, list | tuple):
        for place, one in enumerate(value, 1):
            yield from _flat(f"{name}.{place}", one)
    elif isinstance(value, Mapping):
        for key, one in value.items():
            yield from _flat(f"{name}.{key}", one)
    elif value is not None:
        yield name, "yes" if value is True else "no" if value is False else typed_text(value)


def _is_nested(one: Any) -> bool:
    return isinstance(one, Mapping | list | tuple) or "," in typed_text(one) or ";" in typed_text(one)


def _object(value: Any, name: str, part: str = "…") -> Mapping[str, Any]:
    if not isinstance(value, Mapping):
        raise Refused([WrongShape(name, value, f"its parts by name, such as {name}.{part}=…")])
    return value


def _put(words: dict[str, Any], path: Sequence[str], value: str) -> bool:
    """Put a value at its path; say no where something stands there already."""
    *floors, last = path
    for floor in floors:
        words = words.setdefault(floor, {})
        if not isinstance(words, dict):
            return False
    if last in words:
        return False
    words[last] = value
    return True


def _digits(number: Decimal) -> int | str:
    return int(number) if number == int(number) else str(number)


def _number(digits: str) -> Decimal | str:
    try:
        return Decimal(digits)
    except InvalidOperation:  # an exponent beyond what Decimal holds: the reader of its field says so
        return digits


def _once(sent: list[tuple[str, Any]]) -> dict[str, Any]:
    seen: dict[str, Any] = {}
    for name, value in sent:
        if _kept(name) in seen:
            raise Refused([NotWords(f"{quoted(name)} stands twice in one object. Keep one.", field=name)])
        seen[name] = value
    return seen


def _kept(text: str, field: str = "") -> str:
    """Let through text that both databases and a terminal can hold: no NUL and no half of a character.

    Raises:
        Refused: it holds one; the field is named and its text is not shown, since it may be a secret.
    """
    if UNKEPT.search(text):
        safe = text.replace("\0", "?").encode("utf-8", "replace").decode()
        name, equals, _value = safe.partition("=")
        what = field_words(field or name) if field or equals else quoted(safe)
        raise Refused([NotWords(f"{what} holds a sign that cannot be kept. Type it again.", field=field)])
    return text


def _shown(value: object) -> str:
    if isinstance(value, Mapping):
        return "an object"
    return "a list" if isinstance(value, list) else typed_text(value)[:MAX_TYPED]
