"""Decide about lines: advance, hold or drop, with the numbers as they were seen that day."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.contrib.auth.models import User

from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Typed
from inventory.actions.drafts import Draft
from inventory.actions.origin import entered, plan_each
from inventory.actions.posting import post_all
from inventory.actions.reader import Reader
from inventory.models import Decision, Station
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import listed, quoted, typed_text

VERDICTS = ("advance", "hold", "drop")


class UnknownVerdict(Mistake):
    """A word that decides nothing."""

    code = "unknown_verdict"

    def __init__(self, typed: str) -> None:
        super().__init__(f"{quoted(typed)} decides nothing. Use {listed(list(VERDICTS))}.", field="verdict")


@dataclass(frozen=True, kw_only=True)
class Deciding:
    """A decision as it was typed.

    Args:
        reason: why; without it the act's own.
        evidence: what was looked at and what it read, kept as seen: {"yield t/ha": "2.3", "germination %": 79}.
    """

    line: str
    verdict: str
    reason: str = ""
    evidence: Mapping[str, Typed] = field(
        default_factory=dict, metadata={"looks": "what was read, each under its name, such as yield t/ha=2.3"}
    )
    at: Typed = None


@action("decide")
def decide(
    decisions: Sequence[Deciding], *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Decide about lines, each in an act of its own; the newest decision of a line is the one that holds.

    Raises:
        Refused: a line or verdict is not known, or a reason is missing.
    """
    desk = Desk(station, now)

    def plan(asked: Deciding) -> Draft:
        reader = Reader(desk, answers)
        at, why = reader.when(asked.at), reader.reason(asked.reason or reason, "a decision")
        reader.note_typed(line=asked.line, verdict=asked.verdict)
        line = reader.line(asked.line)
        verdict = asked.verdict.strip().lower()
        if verdict not in VERDICTS:
            reader.add(UnknownVerdict(asked.verdict))
        row = Decision(station=station, line=line, verdict=verdict)
        record = {"evidence": _as_seen(asked.evidence)}
        return entered(reader, record, kind="decide", by=by, at=at, key=key, reason=why, rows=(row,))

    return Booked(tuple(post_all(plan_each(decisions, plan))))


def _as_seen(evidence: Mapping[str, Typed]) -> dict[str, Any]:
    """Keep numbers as they were shown: whole ones as they are, others as their text."""
    return {
        name: value if isinstance(value, int | str) or value is None else typed_text(value)
        for name, value in evidence.items()
    }
