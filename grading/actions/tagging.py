"""Print sample tags: the act of printing labels, for what only the bench knows."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.models import User

from grading.queries.finding import find_sample
from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk
from inventory.actions.labelling import Wanted, plan_labels
from inventory.actions.posting import post
from inventory.actions.reader import Missing, Reader
from inventory.models import Station

SAMPLE = "sample"  # what the label stands on


@dataclass(frozen=True, kw_only=True)
class Tagging:
    """The samples whose tags are printed, as typed."""

    samples: Sequence[str]


@action("label")
def print_tags(
    tagging: Tagging, *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Keep that tags of samples are printed, all by one act; a tag names no lot, since whoever picks may see it.

    Raises:
        Refused: no sample was named, or one is not known.
    """
    reader = Reader(Desk(station, now), answers)
    reader.note_typed(**vars(tagging))
    found = [reader.attempt(lambda typed=typed: find_sample(station, typed)) for typed in tagging.samples]  # type: ignore[misc]
    wanted = []
    for one in found:
        if one is not None:
            reader.notes.extend(one[1])
            wanted.append(Wanted(SAMPLE, one[0].number))
    if not tagging.samples:
        reader.add(Missing("samples", "G03"))
    return Booked((post(plan_labels(reader, wanted, by=by, key=key, reason=reason)),))
