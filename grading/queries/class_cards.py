"""Class cards: those that come with the app, a station's own, and what samples looked like against them."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from django.conf import settings

from grading.models import CardJudgement, SeedWeight, SizeCurve
from grading.queries.colours import newest_colours
from grading.queries.finding import day_of
from grading.rules.class_card import CardResult, ClassCard, Found, judge, screens_held
from grading.rules.class_card_form import CardFault, read_class_card
from grading.rules.colour_reading import CIELAB
from grading.rules.mistakes import UnknownWord
from grading.rules.rule_set import folded_class
from grading.rules.seed_weight import mean_weight
from grading.stats.colour import Lab
from grading.stats.colour_difference import ciede2000
from grading.stats.colour_past import ways
from inventory.models import Lot, Station
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.reading import plain, typed_text
from inventory.rules.rounding import half_up


@dataclass(frozen=True, slots=True)
class WrittenCard:
    """A card with the form that it was written in."""

    card: ClassCard
    document: Mapping[str, Any]


class NoCard(Mistake):
    """A station that has no card for a class."""

    code = "no_card"

    def __init__(self, station: str, class_name: str, ids: list[str]) -> None:
        what = f"for {class_name}" if class_name else "for a lot without a class"
        says = f"{station} has no class card {what}. Name a card: there are {', '.join(ids) or 'none'}."
        super().__init__(says, field="card")


def class_cards() -> tuple[list[WrittenCard], list[Mistake]]:
    """Give all cards by id, and the faults of those that can't be read.

    A station's own lie in `class_cards` of the data folder; one that has the id of a shipped one stands for it.
    """
    own, faults = _own_cards(Path(settings.DATA_DIR) / "class_cards")
    by_id = {each.card.id.casefold(): each for each in (*_shipped_cards(), *own)}
    return [by_id[name] for name in sorted(by_id)], faults


def card_named(wanted: object) -> WrittenCard:
    """Find a card by its id, typed in any case.

    Raises:
        Refused: there is none; the faults of cards that could not be read are said too.
    """
    cards, faults = class_cards()
    text = plain(typed_text(wanted))
    found = {each.card.id.casefold(): each for each in cards}.get(text.casefold())
    if found is None:
        raise Refused([UnknownWord("class card", text, [each.card.id for each in cards], "card"), *faults])
    return found


def card_of_class(station: Station, class_name: str) -> WrittenCard:
    """Find the station's own card for a market class.

    Raises:
        Refused: it has none.
    """
    cards, faults = class_cards()
    wanted = folded_class(class_name)
    for each in cards:
        is_ours = each.card.station.casefold() == station.code.casefold()
        if wanted and is_ours and wanted in map(folded_class, each.card.classes):
            return each
    raise Refused([NoCard(station.code, class_name, [each.card.id for each in cards]), *faults])


def measured_of(station: Station, lot: Lot, card: ClassCard, until: date) -> dict[str, Any]:
    """Give what the books held of a lot on a day that a card asks for, as exact text (3 queries).

    Returns:
        `colour` (as it was read), `hundred_seeds_g`, `held_pct`; what was not measured is left out.
    """
    found: dict[str, Any] = {}
    colour = newest_colours(station, [lot.pk], until).get(lot.pk) if card.colour else None
    if colour is not None:
        lightness, a, b = (f"{value:f}" for value in colour.read.mean)
        found["colour"] = {
            "lightness": lightness, "a": a, "b": b, "scale": colour.read.scale, "illuminant": colour.read.illuminant,
            "observer": colour.read.observer, "on": colour.on.isoformat(),
        }  # fmt: skip
    weight = _newest(SeedWeight, station, lot, until) if card.hundred_seeds_g else None
    if weight is not None:
        mean = mean_weight([Fraction(reading) for reading in weight.readings_g])
        found["hundred_seeds_g"] = f"{half_up(mean, 4).normalize():f}"
    curve = _newest(SizeCurve, station, lot, until) if card.screens else None
    held = screens_held(card, [(screen, Decimal(pct)) for screen, pct in curve.screens]) if curve else None
    return found if held is None else {**found, "held_pct": f"{held:f}"}


def result_of(row: CardJudgement) -> CardResult:
    """Hold a judgement's words and measures against the card that it keeps."""
    card = read_class_card(row.card)
    away, way = _colour_away(card, row.measured.get("colour"))
    weight, held = (_decimal(row.measured.get(name)) for name in ("hundred_seeds_g", "held_pct"))
    return judge(card, Found(row.words, away, way, weight, held))


def newest_judgement(station: Station, sample_id: int) -> CardJudgement | None:
    """Give a sample's newest judgement that stands (1 query)."""
    rows = CardJudgement.objects.filter(station=station, sample=sample_id, operation__reversed_by__isnull=True)
    return rows.select_related("operation", "lot", "sample").order_by("operation__at", "operation__seq").last()


def _newest(model: Any, station: Station, lot: Lot, until: date) -> Any:
    rows = model.objects.filter(station=station, lot=lot, operation__reversed_by__isnull=True)
    rows = rows.select_related("operation").order_by("operation__at", "operation__seq")
    return next((row for row in reversed(rows) if day_of(row.operation, station) <= until), None)


def _colour_away(card: ClassCard, colour: Mapping[str, str] | None) -> tuple[Decimal | None, str]:
    """The distance from the card's colour; none where the lot's was read otherwise than the card's."""
    target = card.colour
    if target is None or colour is None:
        return None, ""
    if (colour["scale"], colour["illuminant"], colour["observer"]) != (CIELAB, target.illuminant, target.observer):
        return None, ""
    wanted = Lab(float(target.lightness), float(target.a), float(target.b))
    found = Lab(*(float(colour[axis]) for axis in ("lightness", "a", "b")))
    return Decimal(f"{ciede2000(wanted, found).estimate:.2f}"), ways(wanted, found)


def _decimal(text: str | None) -> Decimal | None:
    return None if text is None else Decimal(text)


@cache
def _shipped_cards() -> tuple[WrittenCard, ...]:
    folder = files("grading") / "class_cards"
    texts = [(entry.name, entry.read_text("utf-8")) for entry in folder.iterdir() if entry.name.endswith(".json")]
    documents = [json.loads(text) for _name, text in sorted(texts)]
    return tuple(WrittenCard(read_class_card(document), document) for document in documents)


def _own_cards(folder: Path) -> tuple[list[WrittenCard], list[Mistake]]:
    cards: list[WrittenCard] = []
    faults: list[Mistake] = []
    for path in sorted(folder.glob("*.json")):
        try:
            document = json.loads(path.read_text("utf-8"))
            cards.append(WrittenCard(read_class_card(document), document))
        except (OSError, ValueError, RecursionError):
            faults.append(CardFault(f"{path.name} cannot be read as JSON. Look at its quotes, commas and braces."))
        except Refused as refused:
            faults += [CardFault(f"{path.name}: {each.says}", field=each.field) for each in refused.mistakes]
    return cards, faults
