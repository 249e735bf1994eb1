"""What a class card wants, and what of a sample fell short of it."""

from dataclasses import dataclass
from typing import Any

from grading.models import CardJudgement
from grading.queries.class_cards import WrittenCard, card_named, card_of_class, class_cards, newest_judgement, result_of
from grading.queries.figures.figure import Answer, Figure
from grading.queries.finding import day_of, find_sample
from grading.rules.class_card import NEVER_A_GRADE, ClassCard
from inventory.models import Station
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.reading import listed, typed_text
from inventory.rules.working import Step


class NotJudged(Mistake):
    """A sample that was not held against a card."""

    code = "not_judged"

    def __init__(self, sample: str) -> None:
        super().__init__(
            f"{sample} was not held against a class card. Look at it and enter it with `book judge card`.",
            field="sample",
        )


class WhichCard(Mistake):
    """Neither a sample nor a card nor a class was named."""

    code = "missing"

    def __init__(self, ids: list[str]) -> None:
        super().__init__(f"Name a sample, a market class or a card: {listed(ids)}.", field="card")


@dataclass(frozen=True, kw_only=True)
class CardAsked:
    """A sample whose result is wanted, or the card that is to be shown: by its id, or the station's own for a class."""

    sample: Any = None
    card: Any = None
    class_name: str = ""


def class_card(asked: CardAsked, station: Station | None = None) -> Answer:
    """Answer what fell short of the card in a sample, or what a card wants.

    Raises:
        Refused: no such sample, card or class, or a sample that was not held against a card.
    """
    if station is None:
        raise AssertionError("this figure reads the books of a station")
    if typed_text(asked.sample).strip():
        return _result(_judged(station, asked.sample), station)
    if typed_text(asked.card).strip():
        return _shown(card_named(asked.card))
    if asked.class_name.strip():
        return _shown(card_of_class(station, asked.class_name))
    raise Refused([WhichCard([each.card.id for each in class_cards()[0]])])


def _judged(station: Station, typed: object) -> CardJudgement:
    try:
        sample, _notes = find_sample(station, typed)
    except Mistake as mistake:
        raise Refused([mistake]) from None
    row = newest_judgement(station, sample.pk)
    if row is None:
        raise Refused([NotJudged(sample.number)])
    return row


def _result(row: CardJudgement, station: Station) -> Answer:
    result = result_of(row)
    values = {
        "sample": row.sample.number, "lot": row.lot.number, "on": day_of(row.operation, station).isoformat(),
        "grader": row.grader, "card": row.card_id, "edition": row.edition, "official": False,
        "fell_short": list(result.fell_short), "met": list(result.met), "not_looked_at": list(result.not_looked_at),
        "words": dict(row.words), "measured": dict(row.measured),
    }  # fmt: skip
    return Answer(values, result.says, result.working, (*result.card.notes, NEVER_A_GRADE))


def _shown(written: WrittenCard) -> Answer:
    card = written.card
    says = [f"{card.title} ({card.says}): {card.source}."]
    for each in card.looked_at:
        says.append(f"{each.words.capitalize()}: {', '.join(each.best_first)}; wanted is {each.wanted}.")
        says.append(f"  {each.definition} Hard to tell: {each.borderline}")
    steps = tuple(
        Step(each.words, f"{' > '.join(each.best_first)}; enough: {each.enough}", source=f"card {card.says}")
        for each in card.looked_at
    )
    values = {**written.document, "card": card.id, "official": False}
    return Answer(values, (*says, *_measured(card)), steps, (*card.notes, NEVER_A_GRADE))


def _measured(card: ClassCard) -> list[str]:
    says = []
    if card.colour:
        at = f"L* {card.colour.lightness}, a* {card.colour.a}, b* {card.colour.b}"
        under = f"CIELAB, {card.colour.illuminant}, {card.colour.observer}° observer"
        says.append(f"Colour: {at} ({under}), near enough within {card.colour.within} by CIEDE2000.")
    if card.hundred_seeds_g:
        says.append(f"A hundred seeds: {card.hundred_seeds_g.least} to {card.hundred_seeds_g.most} g.")
    if card.screens:
        names = listed(list(card.screens.held_on), "and")
        says.append(f"Size: screens {names} hold {card.screens.least_pct} % or more.")
    return says


FIGURES = (
    Figure(
        "class card", "What a sample fell short of by its class card, or what a card wants; never an official grade.",
        CardAsked, class_card, {"card": "QM-DEMO-PINTO"}, reads_books=True,
    ),
)  # fmt: skip
