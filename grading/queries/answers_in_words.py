"""The answer of a grading as lines of text, for a screen without a page."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from grading.stats.beta import chance_text, chance_texts
from inventory.rules.working import Step

BASIS = {
    "gross": "of the uncleaned weight", "cleaned": "of the cleaned weight", "count": "of the pieces",
    "wet": "wet basis", "test": "as tested", "mass": "in the portion",
}  # fmt: skip


def answer_lines(answer: Mapping[str, Any]) -> list[str]:
    """Write a stored sample's answer as lines of text.

    Args:
        answer: as `grades.sample_answer` gives it.
    """
    kept = f", re-grade of the file sample of {answer['file_sample_of']}" if answer["file_sample_of"] else ""
    head = f"{answer['sample']}  {answer['lot']}  {answer['date']}  graded by {answer['grader']}{kept}"
    return [head, *portion_lines(answer)]


def portion_lines(answer: Mapping[str, Any]) -> list[str]:
    """Write the answer of a portion as lines of text.

    Args:
        answer: as `answers.answer` gives it.
    """
    held = [_held(entry) for entry in answer["limiting"]]
    grade = f"{answer['grade']}: {'; '.join(held)}" if held else str(answer["grade"])
    rule_set = f"{answer['rule_set']}, edition {answer['edition']}; {answer['source']}"
    lines = [grade, *(f"  {_factor(entry)}" for entry in answer["factors"])]
    notes = [note for note in answer["notes"] if note != answer["source"]]
    lines += _chances(answer.get("grade_chances"))
    working = [f"  {Step(**step).says}" for step in answer["working"]]
    return [*lines, f"Rule set {rule_set}", *notes, "", "Working", *working]


def _chances(of_each: Mapping[str, float] | None) -> list[str]:
    """The lot's chances by grade, on one line; nothing where there are none."""
    if not of_each:
        return []
    texts = chance_texts([min(1.0, max(0.0, chance)) for chance in of_each.values()])
    said = ", ".join(f"{grade} {text}" for grade, text in zip(of_each, texts, strict=True))
    advice = "advice, rounded so that no more than 100 % stand here; the rule's own grade stands"
    return [f"Chance that the lot is: {said} ({advice})"]


def _held(entry: Mapping[str, Any]) -> str:
    if entry["read_pct"] is None:
        return str(entry["words"])
    return f"{entry['words']} {entry['read_pct']}, limit {entry['limit']}"


def _factor(entry: Mapping[str, Any]) -> str:
    base = f"{entry['unit']} {BASIS[entry['basis']]}"
    text = f"{entry['words']} {entry['read_pct']} {base}"
    if not entry["interval"]:
        return text
    low, high = (f"{Decimal(end):.1f}" for end in entry["interval"])
    chances = ", ".join(f"{grade} {chance_text(chance)}" for grade, chance in entry["within"].items())
    return f"{text}, likely {low} to {high}" + (f"; chance within: {chances}" if chances else "")
