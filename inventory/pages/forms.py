"""A form of any act: fields from the dataclass of its typed words, filled with what was typed and what is wrong.

Nothing is read here: what a field means is the act's own business, so that a page and a command say the same sentence.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any, get_args, get_origin, get_type_hints

from django.utils.translation import gettext

from inventory.importing import words as typed_words
from inventory.importing.telling import is_needed, tell
from inventory.pages.form_words import hint_of, label_of
from inventory.rules.mistakes import Level, Mistake
from inventory.rules.reading import field_words

ROWS_MORE = 1  # blank rows shown behind those that are filled
MOST_ROWS = 99
_NOT_FIELDS = ("csrfmiddlewaretoken", "key", "reason", "more", "take", "save", "then")


@dataclass(frozen=True)
class FormField:
    """One field as a page shows it.

    Attributes:
        name: where its value belongs in the words: "gross", "outs.1.mass".
        kind: "text", "yes" (a tick), "lines" (one `name=value` on each line) or "secret" (never filled).
        errors: sentences that belong to it.
    """

    name: str
    label: str
    hint: str
    kind: str = "text"
    value: str = ""
    needed: bool = False
    errors: tuple[str, ...] = ()

    @property
    def id(self) -> str:
        """Its id on the page."""
        return f"field-{self.name.replace('.', '-')}"


@dataclass(frozen=True)
class FormGroup:
    """A list of parts, each with the same fields; blank rows stand behind those that are filled."""

    name: str
    label: str
    rows: tuple[tuple[FormField, ...], ...]


@dataclass(frozen=True)
class Asked:
    """A question that stands in the way: it is answered with a reason, or by taking what is proposed.

    Attributes:
        take: values that may be taken with one press, as "field=value", each with the words of its button.
    """

    code: str
    says: str
    field: str
    take: tuple[tuple[str, str], ...] = ()
    reason: str = ""

    @property
    def name(self) -> str:
        """The name of the field for its reason."""
        return f"answer.{self.code}"


@dataclass(frozen=True)
class Form:
    """All of a form: fields in order, what is wrong, what is asked."""

    parts: tuple[FormField | FormGroup, ...]
    errors: tuple[tuple[str, str], ...] = ()  # (id of the field or "", sentence)
    questions: tuple[Asked, ...] = ()
    key: str = ""
    reason: str = ""

    def field(self, name: str) -> FormField:
        """Find a field by its name.

        Raises:
            KeyError: it has no such field.
        """
        return self._by_name[name]

    def group(self, name: str) -> FormGroup:
        """Find a list of parts by its name."""
        return next(part for part in self.parts if isinstance(part, FormGroup) and part.name == name)

    @property
    def _by_name(self) -> dict[str, FormField]:
        return {field.name: field for field in _all_fields(self.parts)}


def form_of(
    kind: type[Any], typed: Mapping[str, str], mistakes: Sequence[Mistake] = (), *, key: str = "", more: str = "",
    secrets: Sequence[str] = (),
) -> Form:  # fmt: skip
    """Make the form of an act.

    Args:
        kind: the dataclass of its typed words.
        typed: name of a field -> what was typed; "answer.CODE" and "reason" among them.
        mistakes: what was found wrong with it.
        key: the idempotency key that the form carries.
        more: name of a list that gets one more blank row.
        secrets: names of fields that are never shown as they were typed.
    """
    parts = (_hidden(part, secrets) for part in _parts(kind, typed, dict(tell(kind)), more))
    return form_with(tuple(parts), typed, mistakes, key=key)


def form_with(
    parts: tuple[FormField | FormGroup, ...], typed: Mapping[str, str], mistakes: Sequence[Mistake] = (), *,
    key: str = "",
) -> Form:  # fmt: skip
    """Make a form of fields that a page laid out itself, with what is wrong and what is asked.

    Args:
        parts: fields, filled already.
        typed: "answer.CODE" and "reason" are taken from it.
        mistakes: what was found wrong.
        key: the idempotency key that the form carries.
    """
    known = {field.name: field.id for field in _all_fields(parts)}
    places = {name.removesuffix("s"): id_ for name, id_ in known.items()} | known  # "plot" is wrong in "plots"
    errors = tuple(
        (places.get(mistake.field, ""), mistake.says) for mistake in mistakes if mistake.level is Level.ERROR
    )  # fmt: skip
    questions = tuple(
        _asked(mistake, typed, known)
        for mistake in mistakes
        if mistake.level in (Level.QUESTION, Level.DUPLICATE)
    )  # fmt: skip
    filled = tuple(_with_errors(part, mistakes) for part in parts)
    return Form(filled, errors, questions, key, typed.get("reason", ""))


def words_of(kind: type[Any], typed: Mapping[str, str]) -> dict[str, Any]:
    """Make an act's words of what was typed: blank fields are left out, blank rows closed up.

    Raises:
        Refused: a line that is no name with its value.
    """
    flat: list[str] = []
    for name, value in _closed_up(typed).items():
        if name in _NOT_FIELDS or name.startswith("answer.") or not value.strip():
            continue
        if _is_lines(kind, name):
            flat += [f"{name}.{line.strip()}" for line in value.splitlines() if line.strip()]
        else:
            flat.append(f"{name}={value.strip()}")
    return typed_words.pairs(flat)


def answers_of(typed: Mapping[str, str]) -> dict[str, str]:
    """Take the reasons that answer questions: code -> reason."""
    return {
        name.removeprefix("answer."): value
        for name, value in typed.items()
        if name.startswith("answer.") and value.strip()
    }


def taken(typed: Mapping[str, str]) -> dict[str, str]:
    """Put in place what was proposed and taken with one press."""
    name, equals, value = typed.get("take", "").partition("=")
    return {**typed, name: value} if equals else dict(typed)


def _parts(
    kind: type[Any], typed: Mapping[str, str], hints: Mapping[str, str], more: str
) -> Iterable[FormField | FormGroup]:
    types = get_type_hints(kind)
    for one in fields(kind):
        part = _part_type(types[one.name])
        if part is not None:
            yield _group(one.name, part, typed, hints, more=more)
            continue
        hint = next((says for name, says in hints.items() if name in (one.name, f"{one.name}.NAME")), "")
        default = one.default if isinstance(one.default, str) else ""
        called = one.metadata.get("called", "")  # a plugin's own words; its names may be ours for something else
        yield FormField(
            one.name, field_words(called) if called else label_of(one.name),
            hint_of(hint).removeprefix(called).strip(), _kind_of(types[one.name]),
            typed.get(one.name, default if not typed else ""), needed=is_needed(one),
        )  # fmt: skip


def _hidden(part: FormField | FormGroup, secrets: Sequence[str]) -> FormField | FormGroup:
    return replace(part, kind="secret", value="") if isinstance(part, FormField) and part.name in secrets else part


def _group(
    name: str, part: type[Any], typed: Mapping[str, str], hints: Mapping[str, str], *, more: str
) -> FormGroup:  # fmt: skip
    filled = {int(key.split(".")[1]) for key in typed if key.startswith(f"{name}.") and key.split(".")[1].isdecimal()}
    count = min(MOST_ROWS, max(filled, default=0) + (ROWS_MORE if more == name or not filled else 0))
    rows = tuple(
        tuple(_row_field(one, f"{name}.{row}", typed, hints.get(f"{name}.1.{one.name}", "")) for one in fields(part))
        for row in range(1, count + 1)
    )
    return FormGroup(name, label_of(name), rows)


def _row_field(one: Any, where: str, typed: Mapping[str, str], hint: str) -> FormField:
    name = f"{where}.{one.name}"
    return FormField(name, label_of(one.name), hint_of(hint), value=typed.get(name, ""), needed=is_needed(one))


def _all_fields(parts: Iterable[FormField | FormGroup]) -> Iterable[FormField]:
    for part in parts:
        if isinstance(part, FormGroup):
            for row in part.rows:
                yield from row
        else:
            yield part


def _with_errors(part: FormField | FormGroup, mistakes: Sequence[Mistake]) -> FormField | FormGroup:
    if isinstance(part, FormGroup):
        rows = tuple(tuple(_said(field, mistakes) for field in row) for row in part.rows)
        return replace(part, rows=rows)
    return _said(part, mistakes)


def _said(field: FormField, mistakes: Sequence[Mistake]) -> FormField:
    names = (field.name, field.name.removesuffix("s"))
    errors = (mistake for mistake in mistakes if mistake.level is Level.ERROR and mistake.field)
    says = tuple(mistake.says for mistake in errors if mistake.field in names)
    return replace(field, errors=says)


def _asked(mistake: Mistake, typed: Mapping[str, str], known: Mapping[str, str]) -> Asked:
    readings = [str(reading) for reading in getattr(mistake, "readings", ())]
    proposed = readings or ([mistake.proposal] if mistake.proposal else [])
    presses: tuple[tuple[str, str], ...] = getattr(mistake, "presses", ())
    if not presses and mistake.field in known:
        words = gettext("Take %(value)s")
        presses = tuple((f"{mistake.field}={value}", words % {"value": value}) for value in proposed)
    return Asked(mistake.code, mistake.says, mistake.field, presses, typed.get(f"answer.{mistake.code}", ""))


def _closed_up(typed: Mapping[str, str]) -> dict[str, str]:
    """Give rows of a list running numbers again where one between was left blank."""
    rows: dict[tuple[str, str], str] = {}
    closed = {}
    for name, value in typed.items():
        head, _dot, rest = name.partition(".")
        number, dot, tail = rest.partition(".")
        if not (dot and number.isdecimal()):
            closed[name] = value
        elif value.strip():
            taken_rows = sum(1 for key in rows if key[0] == head)
            row = rows.setdefault((head, number), str(taken_rows + 1))
            closed[f"{head}.{row}.{tail}"] = value
    return closed


def _kind_of(hint: Any) -> str:
    if hint is bool:
        return "yes"
    return "lines" if _is_a(hint, Mapping) else "text"


def _is_lines(kind: type[Any], name: str) -> bool:
    hint = get_type_hints(kind).get(name)
    return hint is not None and _is_a(hint, Mapping)


def _part_type(hint: Any) -> type[Any] | None:
    inner = get_args(hint)
    if _is_a(hint, Sequence) and inner and is_dataclass(inner[0]) and isinstance(inner[0], type):
        return inner[0]
    return None


def _is_a(hint: Any, kind: type[Any]) -> bool:
    origin = get_origin(hint)
    return isinstance(origin, type) and issubclass(origin, kind)
