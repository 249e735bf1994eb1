"""Write down what is seen of samples: a note of the lot that says which of its samples was looked at."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields
from datetime import datetime

from django.contrib.auth.models import User

from grading.queries.blind import HiddenUntilGraded, may_see
from grading.queries.finding import find_sample
from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Typed
from inventory.actions.drafts import Draft
from inventory.actions.noting import Noting, expect_noted, plan_note
from inventory.actions.origin import plan_each
from inventory.actions.posting import post_all
from inventory.actions.reader import Reader, sure
from inventory.models import Station


@dataclass(frozen=True, kw_only=True)
class SampleNoting:
    """One note of a sample as it was typed."""

    sample: Typed
    variable: str = field(metadata={"looks": "seed weight, seed colour …"})
    value: Typed = field(metadata={"looks": "on the scale of the variable: 19.8, white"})
    moisture: Typed = field(default=None, metadata={"looks": "% wet basis at which it stands, such as 16"})
    observer: str = ""
    at: Typed = None


@action("note")
def note_samples(
    notes: Sequence[SampleNoting], *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Write notes of samples down, each an act of its own; all or none.

    Raises:
        Refused: a sample or variable is not known, a value cannot be read, or lies off its scale unanswered.
    """
    desk = Desk(station, now)
    known: dict[str, tuple[str, str]] = {}  # sample as typed -> its number and its lot's

    def plan(asked: SampleNoting) -> Draft:
        reader = Reader(desk, answers)
        typed = str(asked.sample)
        if typed not in known:
            read = reader.attempt(lambda: find_sample(station, typed))
            if read and not may_see(read[0], by):
                reader.add(HiddenUntilGraded(read[0].number))
            reader.finish()
            found, said = sure(read)
            reader.notes.extend(said)
            known[typed] = (found.number, found.lot.number)
        number, lot = known[typed]
        words = {each.name: getattr(asked, each.name) for each in fields(asked) if each.name != "sample"}
        note = Noting(lot=lot, **words)
        expect_noted(desk, [note])
        return plan_note(reader, note, by=by, key=key, reason=reason, sample=number)

    return Booked(tuple(post_all(plan_each(notes, plan))))
