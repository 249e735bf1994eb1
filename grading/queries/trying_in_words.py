"""A trial of a rule set as named values, and as lines of text."""

from dataclasses import asdict
from typing import Any

from grading.queries.trying import Change, Trial


def trial_as_json(trial: Trial) -> dict[str, Any]:
    """Write a trial as named values; days as ISO 8601."""
    changed = [{**asdict(change), "day": change.day.isoformat()} for change in trial.changed]
    for change in changed:
        change["class"] = change.pop("class_name")
    return {
        "rule_set": trial.rule_set,
        "edition": trial.edition,
        "samples": trial.samples,
        "changed": changed,
        "unread": [asdict(each) for each in trial.unread],
        "grades": dict(trial.grades),
        "would_be": dict(trial.would_be),
    }


def trial_lines(trial: Trial) -> list[str]:
    """Write a trial as lines of text: the counts, then each sample that would change."""
    head = f"{trial.rule_set}, edition {trial.edition}, tried on {_samples(trial.samples)}; nothing was stored."
    lines = [head, f"{_samples(len(trial.changed))} would read as another grade."]
    names = dict.fromkeys((*trial.grades, *trial.would_be))
    lines += [f"  {name}: {trial.grades.get(name, 0)} now, {trial.would_be.get(name, 0)} then" for name in names]
    lines += [_change(change) for change in trial.changed]
    if trial.unread:
        lines.append(f"{_samples(len(trial.unread))} it cannot grade:")
        lines += [f"  {each.sample} of {each.lot}: {each.says}" for each in trial.unread]
    return [*lines, "A sample keeps the edition that it was graded under; only what is graded later would change."]


def _change(change: Change) -> str:
    why = "; ".join(change.would_be_held) or "nothing holds it back then"
    was = f" (now {'; '.join(change.held)})" if change.held else ""
    return f"{change.sample}  {change.lot}  {change.day}  {change.grade} would be {change.would_be}: {why}{was}"


def _samples(many: int) -> str:
    return f"{many} sample" if many == 1 else f"{many} samples"
