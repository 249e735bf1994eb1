"""Draft rule sets, put them in force and withdraw them: what a grade is held against is changed by a named person."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.contrib.auth.models import User

from grading.models import RuleEdition, RulesDraft, RulesWithdrawn
from grading.queries.drafts import draft_of
from grading.queries.editions import edition_from, is_taken, rules_of
from grading.queries.finding import standing_portions
from grading.rules.exact_json import read_object
from grading.rules.mistakes import UnknownWord
from grading.rules.rule_form import read_rule_set
from grading.rules.rule_set import RuleSet, folded_class
from grading.rules.timeline import EditionTaken, SpelledOtherwise, begin_mistakes, end_mistakes
from inventory.actions.acting import Booked, action, preparing
from inventory.actions.desk import Desk, Typed
from inventory.actions.drafts import Draft
from inventory.actions.origin import entered
from inventory.actions.posting import post
from inventory.actions.reader import Missing, Reader, sure
from inventory.models import Station
from inventory.rules.dates import read_date
from inventory.rules.mistakes import Mistake, Note, Question, Refused
from inventory.rules.reading import JsonText, listed, plain, typed_text

EXAMPLE_DAY = "2026-01-01"


class GradedTwice(Question):
    """A class that another rule set of the station grades in the same time."""

    code = "graded_twice"

    def __init__(self, classes: Sequence[str], others: Sequence[str]) -> None:
        says = f"{listed(list(others), 'and')} will grade {listed(list(classes), 'and')} in the same time."
        super().__init__(f"{says} Each grading must then name its rule set. Is that meant?", field="begins")


class BeginsBack(Question):
    """An edition that would begin on days of which samples were graded already."""

    code = "begins_back"

    def __init__(self, what: str, begins: date, graded: int) -> None:
        of = "1 sample" if graded == 1 else f"{graded} samples"
        keep = "keeps its grade" if graded == 1 else "keep their grades"
        says = f"{what} would begin on {begins}, in the past: {of} from then on {keep}, others would be read by it"
        super().__init__(f"{says}. Is that day meant?", field="begins")


@dataclass(frozen=True, kw_only=True)
class DraftedRules:
    """A rule set as JSON, in the form that `manage.py rules --check` explains."""

    document: JsonText = field(metadata={"looks": "a rule set as JSON; `manage.py rules --check` says what is wrong"})


@dataclass(frozen=True, kw_only=True)
class PutInForce:
    """A draft that begins to grade, as it was typed: from samples of which day on."""

    rule_set: str = field(metadata={"looks": "its name, as on the page of rules"})
    edition: str = field(metadata={"looks": "the edition of the draft, such as 2"})
    begins: Typed = field(default=None, metadata={"looks": "the first day, such as 2026-01-01"})
    at: Typed = None


@dataclass(frozen=True, kw_only=True)
class WithdrawRules:
    """An edition that stops grading, as it was typed: after samples of which day."""

    rule_set: str
    edition: str
    ends: Typed = field(default=None, metadata={"looks": "the last day, such as 2026-12-31"})
    at: Typed = None


@action("draft rules")
def draft_rules(
    drafted: DraftedRules, *, station: Station, by: User, key: str = "", reason: str = "",  # noqa: ARG001 - a draft is outside the books
    answers: Mapping[str, str] | None = None, now: datetime | None = None,  # noqa: ARG001 - as above
) -> Booked:  # fmt: skip
    """Keep a rule set as a draft under its id and edition; a draft of the same name is replaced.

    Returns:
        No operation: a draft grades nothing and stands outside the books.

    Raises:
        Refused: everything that is wrong with it, each at its place in the JSON text.
    """
    rule_set = read_rule_set(read_object(drafted.document))
    known = rules_of(station)
    others = {each.id for each in known if each.id.casefold() == rule_set.id.casefold()} - {rule_set.id}
    mistakes: list[Mistake] = [SpelledOtherwise(rule_set.id, other) for other in others]
    mistakes += [EditionTaken(rule_set.id, rule_set.edition)] if is_taken(station, rule_set, known) else []
    if mistakes:
        raise Refused(mistakes)
    kept = {"text": str(drafted.document), "drafted_by": by}
    RulesDraft.objects.update_or_create(
        station=station, rule_set=rule_set.id, edition=rule_set.edition, defaults=kept
    )  # fmt: skip
    return Booked(())


@preparing("draft rules")
def discard_draft(rule_set: str, edition: str, *, station: Station, by: User) -> None:  # noqa: ARG001 - `preparing` asks who it is
    """Throw a draft away; it graded nothing.

    Raises:
        Refused: there is no such draft.
    """
    reader = Reader(Desk(station))
    found = reader.attempt(lambda: draft_of(station, rule_set, edition, lock=True))
    reader.finish()
    sure(found).delete()


@action("rules")
def put_rules_in_force(
    words: PutInForce, *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Put a draft in force from a day on; it ends the edition of its id before it, and the draft is gone.

    Raises:
        Refused: no such draft or reason, another edition would be in force at once, or the days do not follow.
    """
    reader = Reader(Desk(station, now), answers)
    draft, found = _plan_in_force(reader, words, by=by, key=key, reason=reason)
    operation = post(draft)
    found.delete()
    return Booked((operation,))


@action("rules")
def withdraw_rules(
    words: WithdrawRules, *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Take an edition out of force after a day; what was graded under it keeps it.

    Raises:
        Refused: no such edition or reason, or it is not in force on that day.
    """
    reader = Reader(Desk(station, now), answers)
    return Booked((post(_plan_withdrawal(reader, words, by=by, key=key, reason=reason)),))


def _plan_in_force(
    reader: Reader, words: PutInForce, *, by: User, key: str, reason: str
) -> tuple[Draft, RulesDraft]:  # fmt: skip
    at, why = reader.when(words.at), reader.reason(reason, "putting rules in force")
    reader.note_typed(**vars(words))
    station = reader.desk.station
    found = reader.attempt(lambda: draft_of(station, words.rule_set, words.edition, lock=True))
    begins = _day(reader, words.begins, "begins")
    if found and begins:
        rule_set, known = edition_from(found.text), rules_of(station)
        reader.add(*begin_mistakes(rule_set, begins, known), *_graded_twice(rule_set, begins, known, station))
        reader.add(*_begins_back(rule_set, begins, station))
        if is_taken(station, rule_set, known):
            reader.add(EditionTaken(rule_set.id, rule_set.edition))
    row = RuleEdition(
        station=station, rule_set=found.rule_set if found else "", edition=found.edition if found else "",
        begins=begins or date.min, text=found.text if found else "",
    )  # fmt: skip
    draft = entered(reader, {}, kind="put rules in force", by=by, at=at, key=key, reason=why, rows=(row,))
    return draft, sure(found)


def _plan_withdrawal(reader: Reader, words: WithdrawRules, *, by: User, key: str, reason: str) -> Draft:
    at, why = reader.when(words.at), reader.reason(reason, "withdrawing rules")
    reader.note_typed(**vars(words))
    station = reader.desk.station
    known = rules_of(station)
    edition = reader.attempt(lambda: _edition(known, words))
    ends = _day(reader, words.ends, "ends")
    if edition and ends:
        reader.add(*end_mistakes(edition, ends))
        reader.notes.append(_nothing_after(edition, ends, known))
    row = RulesWithdrawn(
        station=station, rule_set=edition.id if edition else "", edition=edition.edition if edition else "",
        ends=ends or date.min,
    )  # fmt: skip
    return entered(reader, {}, kind="withdraw rules", by=by, at=at, key=key, reason=why, rows=(row,))


def _begins_back(rule_set: RuleSet, begins: date, station: Station) -> list[Mistake]:
    """Ask about a first day from which on samples were graded under this id already."""
    since = datetime.combine(begins, time(), ZoneInfo(station.zone))
    rows = standing_portions(station).filter(rule_set__iexact=rule_set.id, sample__operation__at__gte=since)
    graded = rows.values("sample").distinct().count()
    return [BeginsBack(f"{rule_set.id}, edition {rule_set.edition},", begins, graded)] if graded else []


def _nothing_after(edition: RuleSet, ends: date, known: Sequence[RuleSet]) -> Note:
    """Say what is in force after an edition's last day: withdrawing one does not bring the one before it back."""
    after = ends + timedelta(days=1)
    rest = [each for each in known if each.id == edition.id and each.edition != edition.edition]
    next_ = next((each for each in rest if each.in_force_from and each.in_force_from >= after), None)
    says = f"From {after} on no edition of {edition.id} is in force"
    if next_:
        says += f" until edition {next_.edition} begins on {next_.in_force_from}"
    return Note(f"{says}: an edition before it does not come back. `book reverse` of this act gives the days back.")


def _day(reader: Reader, typed: Typed, name: str) -> date | None:
    if typed in (None, ""):
        reader.add(Missing(name, EXAMPLE_DAY))
        return None
    read = reader.attempt(lambda: read_date(typed, field=name))
    if read is None:
        return None
    reader.notes.extend(read.notes)
    return read.value


def _edition(known: Sequence[RuleSet], words: WithdrawRules) -> RuleSet:
    wanted, edition = plain(typed_text(words.rule_set)).casefold(), plain(typed_text(words.edition))
    of_id = [each for each in known if each.id.casefold() == wanted]
    if not of_id:
        raise UnknownWord("rule set", words.rule_set, dict.fromkeys(each.id for each in known), "rule_set")
    for each in of_id:
        if each.edition == edition:
            return each
    raise UnknownWord(f"edition of {of_id[0].id}", words.edition, [each.edition for each in of_id], "edition")


def _graded_twice(wanted: RuleSet, begins: date, known: Sequence[RuleSet], station: Station) -> list[Mistake]:
    """Ask about classes that another rule set of the station's own grades in the same time."""
    mine = f"{station.code}-".casefold()
    if not wanted.id.casefold().startswith(mine):
        return []
    others = [
        each
        for each in known
        if each.id.casefold() != wanted.id.casefold()
        and each.id.casefold().startswith(mine)
        and (each.in_force_until is None or each.in_force_until >= begins)
    ]
    ours = {folded_class(name): name for name in wanted.classes}
    both = [each for each in others if ours.keys() & each.table_by_class.keys()]
    if not both:
        return []
    classes = [name for folded, name in ours.items() if any(folded in each.table_by_class for each in both)]
    return [GradedTwice(classes, [each.id for each in both])]
