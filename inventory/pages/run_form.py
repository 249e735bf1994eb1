"""The form of a run that is being filled: what stands there, what one person changed, what stands in the way."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from django.utils.translation import gettext

from inventory.actions.drafting import Filling
from inventory.models import RunDraft
from inventory.pages.forms import Asked, Form, FormField
from inventory.queries.drafts import kept_word
from inventory.rules.drafts import ALONE, FilledMeanwhile
from inventory.rules.kinds import STREAMS
from inventory.rules.mistakes import Level, Mistake

MOST_OUTS = 20
CHANGE = "change"  # a change of settings while the run goes: it is written behind what stands there
_OUT_WORDS = ("mass", "lot", "place")
_PARTS = ("spouts", "outs", "words")


@dataclass(frozen=True)
class RunForm:
    """The form, in the groups in which the page shows it, with what each field held when the page was made."""

    form: Form
    was: Mapping[str, str]
    outs: tuple[tuple[FormField, ...], ...]


def run_form(
    draft: RunDraft, typed: Mapping[str, str], mistakes: Sequence[Mistake] = (), *, is_kept: bool = False
) -> RunForm:  # fmt: skip
    """Make the form of a run.

    Args:
        typed: what was sent; nothing for a fresh page.
        mistakes: what stands in its way.
        is_kept: what was sent is in the draft now.
    """
    names = _names(draft)
    fields = [_field(name, typed.get(name, kept_word(draft, name))) for name in names]
    placed = [_placed(mistake, names, typed) for mistake in mistakes]
    filled = [replace(field, errors=_errors(field.name, placed)) for field in fields]
    known = {field.name: field.id for field in filled}
    errors = tuple((known.get(one.field, ""), one.says) for one in placed if one.level is Level.ERROR)
    questions = tuple(_asked(one, typed) for one in placed if one.level in (Level.QUESTION, Level.DUPLICATE))
    change = FormField(CHANGE, "", "", value="" if is_kept else typed.get(CHANGE, ""))
    form = Form((*filled, change), errors, questions, typed.get("key", ""), typed.get("reason", ""))
    outs = [field for field in filled if field.name.startswith("outs.")]
    rows = tuple(tuple(outs[at : at + len(_OUT_WORDS)]) for at in range(0, len(outs), len(_OUT_WORDS)))
    return RunForm(form, _was(draft, names, typed, placed, is_kept=is_kept), rows)


def filling_of(draft: RunDraft, typed: Mapping[str, str], unit: str, clock: str) -> Filling:
    """Take from a form only what this person changed, so that what others filled in meanwhile stays.

    Args:
        unit: in which a number without its own unit was weighed.
        clock: the station's time of day, written before a change of settings.
    """
    changed = {
        name: _in_unit(name, value.strip(), unit)
        for name, value in typed.items()
        if name.partition(".")[0] in _PARTS and value.strip() != typed.get(f"was.{name}", "").strip()
    }
    seen = {name: typed.get(f"was.{name}", "").strip() for name in changed}
    if typed.get(CHANGE, "").strip():
        there = kept_word(draft, "words.settings")
        before = changed.get("words.settings", there)
        changed["words.settings"] = "; ".join(part for part in (before, f"{clock} {typed[CHANGE].strip()}") if part)
        seen.setdefault("words.settings", there)
    return Filling(
        spouts=_of("spouts", changed), words=_of("words", changed), outs=_outs(changed), seen=seen
    )  # fmt: skip


def _of(part: str, changed: Mapping[str, str]) -> dict[str, str]:
    return {name.partition(".")[2]: value for name, value in changed.items() if name.startswith(f"{part}.")}


def _outs(changed: Mapping[str, str]) -> dict[int, dict[str, str]]:
    outs: dict[int, dict[str, str]] = {}
    for name, value in _of("outs", changed).items():
        position, _dot, word = name.partition(".")
        outs.setdefault(int(position) if position.isdecimal() else 0, {})[word] = value
    return outs


def _in_unit(name: str, value: str, unit: str) -> str:
    """Write the person's unit behind a bare number; kilograms are what a run is in."""
    is_mass = name.startswith("spouts.") or name.endswith((".mass", ".feed"))
    return f"{value} {unit}" if is_mass and unit != "kg" and value[-1:].isdecimal() else value


def _names(draft: RunDraft) -> list[str]:
    """Name all fields: what stands once, every spout, and one more lot that may come out."""
    filled = max(map(int, draft.typed["outs"]), default=0)
    outs = [f"outs.{place}.{word}" for place in range(1, min(filled + 1, MOST_OUTS) + 1) for word in _OUT_WORDS]
    return [*(f"words.{name}" for name in ALONE), *(f"spouts.{name}" for name in STREAMS), *outs]


def _field(name: str, value: str) -> FormField:
    labels = {"mass": gettext("weighed"), "lot": gettext("lot"), "place": gettext("stands at")}
    last = name.rpartition(".")[2]
    return FormField(name, labels.get(last, gettext(last.replace("_", " "))), "", value=value)


def _was(
    draft: RunDraft, names: Iterable[str], typed: Mapping[str, str], placed: Sequence[Mistake], *, is_kept: bool
) -> dict[str, str]:  # fmt: skip
    """Say what this person saw in each field: the next change is held against it."""
    theirs = {one.field for one in placed if isinstance(one, FilledMeanwhile)}
    if is_kept:
        return {name: typed.get(name, kept_word(draft, name)) for name in names}
    return {
        name: kept_word(draft, name) if name in theirs else typed.get(f"was.{name}", kept_word(draft, name))
        for name in names
    }


def _placed(mistake: Mistake, names: Sequence[str], typed: Mapping[str, str]) -> Mistake:
    """Lead a mistake to the field of this page that it is about."""
    if mistake.field in names:
        return mistake
    usual = {"machine": "words.machines", "out": "outs.1.mass", "out_lot": "outs.1.mass", "lot": "outs.1.lot"}
    typed_outs = [name for name in names if name.startswith("outs.") and name.endswith(".mass") and typed.get(name)]
    usual |= {"mass": typed_outs[-1] if typed_outs else "outs.1.mass", "place": "outs.1.place"}
    tried = (usual.get(mistake.field, ""), f"words.{mistake.field}", f"spouts.{mistake.field}")
    mistake.field = next((name for name in tried if name in names), "")
    return mistake


def _errors(name: str, mistakes: Iterable[Mistake]) -> tuple[str, ...]:
    return tuple(one.says for one in mistakes if one.field == name and one.level is Level.ERROR)


def _asked(mistake: Mistake, typed: Mapping[str, str]) -> Asked:
    return Asked(mistake.code, mistake.says, mistake.field, reason=typed.get(f"answer.{mistake.code}", ""))
