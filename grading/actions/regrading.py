"""Take file samples out again, blind where graders are to be compared, and set how often that is done."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.models import User

from grading.actions.bench import Bench
from grading.models import RegradePlan, Sample
from grading.queries.blind import due_samples, graders_of
from grading.rules.regrades import MOST_IN, NotGradedYet, NothingDue, RegradeOfRegrade, grader_mistakes
from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Typed
from inventory.actions.origin import entered
from inventory.actions.posting import post
from inventory.actions.reader import Reader
from inventory.models import Station
from inventory.rules.amounts import read_amount
from inventory.rules.mistakes import Mistake


class NotOneIn(Mistake):
    """How often samples come back, outside its range."""

    code = "out_of_range"

    def __init__(self, typed: object) -> None:
        super().__init__(
            f"One in reads {typed}. Give a whole number from 1 to {MOST_IN}, such as 10; 0 ends it.", field="one_in"
        )


@dataclass(frozen=True, kw_only=True)
class HowOften:
    """One in how many gradings comes back to another grader, as it was typed; 0 ends it."""

    one_in: Typed
    at: Typed = None


@action("rules")
def set_regrades(
    often: HowOften, *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Set how often gradings come back blind, from now on.

    Raises:
        Refused: no whole number in range.
    """
    reader = Reader(Desk(station, now), answers)
    at = reader.when(often.at)
    reader.note_typed(one_in=often.one_in)
    read = reader.attempt(lambda: read_amount(often.one_in, field="one_in"))
    if read and (read.value != int(read.value) or not 0 <= read.value <= MOST_IN):
        reader.add(NotOneIn(often.one_in))
        read = None
    row = RegradePlan(station=station, one_in=int(read.value) if read else 0)
    return Booked((post(entered(reader, {}, kind="rules", by=by, at=at, key=key, reason=reason, rows=(row,))),))


def kept_sample(bench: Bench, reader: Reader, typed: Typed, *, is_blind: bool) -> Sample | None:
    """Find the file sample that is taken out again; what stands in the way is gathered.

    Args:
        typed: its number; a blind one may be left out and is then the one that is due longest.
    """
    if is_blind and typed in (None, ""):
        due = due_samples(bench.desk.station)
        reader.add(*([] if due else [NothingDue()]))
        return due[0] if due else None
    kept = bench.sample(reader, typed, "file_sample_of")
    if kept is None:
        return None
    if kept.file_sample_of_id is not None:
        reader.add(RegradeOfRegrade(kept.number))
    elif is_blind and not graders_of(kept):
        reader.add(NotGradedYet(kept.number))
    return kept


def blind_mistakes(sample: Sample, grader: str, *, laid_out_by: str) -> list[Mistake]:
    """Say why a person may not grade this sample; empty for one that is not blind (1 query for one that is).

    Args:
        sample: as it stands, or as it is about to be taken.
    """
    if not sample.is_blind or sample.file_sample_of is None:
        return []
    first = graders_of(sample.file_sample_of)
    return grader_mistakes(sample.number, grader, first=first, laid_out_by=laid_out_by)
