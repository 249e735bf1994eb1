"""Hold a sample against a class card: words for what is looked at, beside what the books hold of its lot by then."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from django.contrib.auth.models import User

from grading.actions.bench import Bench
from grading.models import CardJudgement, Sample
from grading.queries.class_cards import WrittenCard, card_named, card_of_class, measured_of
from grading.rules.class_card import word_mistakes
from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Typed
from inventory.actions.drafts import Draft
from inventory.actions.posting import post_all
from inventory.actions.reader import Reader, sure
from inventory.models import Station
from inventory.rules.mistakes import Mistake

LONGEST_NAME = 150


class NothingSaid(Mistake):
    """A judgement without a word."""

    code = "missing"

    def __init__(self, things: Sequence[str]) -> None:
        says = f"Nothing was said of the sample. Give a word for what was looked at, such as looks.{things[0]}=…;"
        super().__init__(f"{says} the card names {', '.join(things)}.", field="looks")


class JudgedBeforeDrawn(Mistake):
    """A sample looked at on a day before it was drawn."""

    code = "judged_before_drawn"

    def __init__(self, sample: str, drawn: str, judged: str) -> None:
        says = f"{sample} was drawn on {drawn} and looked at on {judged}, before it. Check both days."
        super().__init__(says, field="at")


def _looks(says: str) -> dict[str, str]:
    return {"looks": says}


@dataclass(frozen=True, kw_only=True)
class CardJudged:
    """What was said of a sample by a class card; colour, seed weight and size are taken from the books of its lot."""

    sample: Typed = field(metadata=_looks("a sample that stands, such as G03"))
    looks: Mapping[str, Typed] = field(metadata=_looks("the card's word for each thing looked at"))
    card: Typed = field(
        default=None, metadata=_looks("a card, such as QM-DEMO-PINTO; without it the station's own for the class")
    )
    grader: str = ""
    at: Typed = None


@action("measure")
def judge_cards(
    judged: Sequence[CardJudged], *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Hold samples against their cards; all or none. It is never an official grade, and takes no seed.

    Raises:
        Refused: everything that stands in the way of the first one that cannot be booked.
    """
    bench = Bench(Desk(station, now))
    bench.expect_samples([each.sample for each in judged])
    drafts = [_plan(bench, Reader(bench.desk, answers), each, by=by, key=key, reason=reason) for each in judged]
    return Booked(tuple(post_all(drafts)))


def _plan(bench: Bench, reader: Reader, judged: CardJudged, *, by: User, key: str, reason: str) -> Draft:
    sample, at = bench.sample(reader, judged.sample), reader.when(judged.at)
    reader.note_typed(
        sample=judged.sample, card=judged.card, looks=[f"{name}: {word}" for name, word in judged.looks.items()]
    )
    grader = reader.text(judged.grader or by.get_username(), "grader", "bench-1", LONGEST_NAME)
    written = _card(bench, reader, judged.card, sample)
    words = _words(reader, judged, written) if written else {}
    if sample is not None:
        _check_days(bench, reader, sample, at)
    facts = reader.finish()
    sample, written = sure(sample), sure(written)
    card = written.card
    row = CardJudgement(
        station=bench.desk.station, lot=sample.lot, sample=sample, grader=grader, card_id=card.id, edition=card.edition,
        card=dict(written.document), words=words,
        measured=measured_of(bench.desk.station, sample.lot, card, bench.desk.local_day(at)),
    )  # fmt: skip
    return Draft(
        kind="measure", station=bench.desk.station, by=by, at=at, reason=reason, key=key,
        facts={**facts, "sample": sample.number, "card": card.id}, about=sample.operation, rows=[row],
    )  # fmt: skip


def _card(bench: Bench, reader: Reader, typed: Typed, sample: Sample | None) -> WrittenCard | None:
    if typed not in (None, ""):
        return reader.attempt(lambda: card_named(typed))
    if sample is None:
        return None  # which sample is meant was asked already
    class_name = bench.class_of(bench.desk.known(sample.lot))
    return reader.attempt(lambda: card_of_class(bench.desk.station, class_name))


def _words(reader: Reader, judged: CardJudged, written: WrittenCard) -> dict[str, str]:
    given = {name: word for name, word in judged.looks.items() if word not in (None, "")}
    if not given:
        reader.add(NothingSaid([each.name for each in written.card.looked_at]))
    words, wrong = word_mistakes(written.card, given)
    reader.add(*wrong)
    return words


def _check_days(bench: Bench, reader: Reader, sample: Sample, at: datetime) -> None:
    drawn, looked = bench.desk.local_day(sample.operation.at), bench.desk.local_day(at)
    if looked < drawn:
        reader.add(JudgedBeforeDrawn(sample.number, drawn.isoformat(), looked.isoformat()))
