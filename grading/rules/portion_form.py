"""Reads a portion from named values, such as a parsed JSON object, and says everything that can't be read."""

import re
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from grading.rules.mistakes import (
    Missing,
    Negative,
    NotAnObject,
    NotANumber,
    OutOfRange,
    TooMuch,
    UnknownWord,
    shown,
)
from grading.rules.portion import Overlap, Portion
from inventory.rules.mistakes import Mistake

MOST_G = Decimal(1_000_000)  # a tonne on a bench is a typing slip
MOST_DECIMALS = 9
_PLAIN = re.compile(r"[+-]?[0-9]{1,12}(\.[0-9]{1,27})?")


KNOWN = (
    *("rule_set", "class", "gross_g", "dockage_g", "portion_g", "sound_g", "weights_g", "counts", "overlap_g"),
    *("appearance", "moisture_pct", "stops", "seed_weight_g_per_100", "readings"),
    "sampling",  # read by `sampling_form`
)


def read_portion(document: Mapping[str, Any]) -> tuple[Portion, list[Mistake]]:
    """Read a portion from a parsed JSON object.

    Args:
        document: names of `KNOWN`; weights as numbers or as exact text.

    Returns:
        The portion as far as it could be read, and everything that could not.
    """
    wrong: list[Mistake] = [UnknownWord("value", name, KNOWN, str(name)) for name in document if name not in KNOWN]
    portion = Portion(
        class_name=_text(document, "class", wrong),
        portion_g=_needed_grams(document, wrong),
        weights_g=_weights(document, wrong),
        counts=_counts(document, wrong),
        overlaps=_overlaps(document, wrong),
        judged=_judged(document, wrong),
        stops=_stops(document, wrong),
        gross_g=_grams(document, "gross_g", wrong),
        dockage_g=_grams(document, "dockage_g", wrong),
        sound_g=_grams(document, "sound_g", wrong),
        moisture_pct=_percent(document, "moisture_pct", wrong),
        seed_weight_g_per_100=_seed_weight(document, wrong),
        readings=_readings(document, wrong),
    )
    return portion, wrong


def amount(value: object, name: str, unit: str, most: Decimal) -> Decimal:
    """Read one exact number.

    Args:
        value: a number, or exact text such as "14.8".
        name: the field, for the sentence.
        unit: in words, for the sentence.
        most: the largest we take [unit].

    Raises:
        Mistake: it is no number, below 0, or beyond the most.
    """
    number = _exact(value)
    if number is None:
        raise NotANumber(name, value, unit)
    if number < 0:
        raise Negative(name, number, unit)
    if number > most:
        raise TooMuch(name, number, f"{most:,}", unit)
    return number


def _exact(value: object) -> Decimal | None:
    if isinstance(value, bool) or not isinstance(value, int | float | str | Decimal):
        return None
    if isinstance(value, str) and not _PLAIN.fullmatch(value.strip()):
        return None
    number = Decimal(str(value).strip())
    if not number.is_finite() or number.adjusted() > 12 or int(number.as_tuple().exponent) < -MOST_DECIMALS * 3:
        return None
    return number


def _amount(
    values: Mapping[str, Any], name: str, unit: str, most: Decimal, wrong: list[Mistake], *, shown_as: str = ""
) -> Decimal | None:
    if values.get(name) is None:
        return None
    try:
        return amount(values[name], shown_as or name, unit, most)
    except Mistake as mistake:
        wrong.append(mistake)
        return None


def _grams(document: Mapping[str, Any], name: str, wrong: list[Mistake]) -> Decimal | None:
    return _amount(document, name, "grams", MOST_G, wrong)


def _percent(document: Mapping[str, Any], name: str, wrong: list[Mistake]) -> Decimal | None:
    return _amount(document, name, "per cent", Decimal(100), wrong)


def _seed_weight(document: Mapping[str, Any], wrong: list[Mistake]) -> Decimal | None:
    name = "seed_weight_g_per_100"
    weight = _amount(document, name, "grams", Decimal(1000), wrong)
    if weight == 0:
        wrong.append(OutOfRange("100 seeds weigh 0 g. Weigh 100 seeds again, or leave it out.", field=name))
        return None
    return weight


def _needed_grams(document: Mapping[str, Any], wrong: list[Mistake]) -> Decimal:
    if document.get("portion_g") is None:
        wrong.append(Missing("portion_g", "Give the weight of what was picked through, in grams."))
    return _grams(document, "portion_g", wrong) or Decimal(0)


def _text(document: Mapping[str, Any], name: str, wrong: list[Mistake]) -> str:
    value = document.get(name)
    if isinstance(value, str) and value.strip():
        return value.strip()
    hint = "Give the market class, such as Pinto."
    blank = value is None or value == ""
    wrong.append(Missing(name, hint) if blank else OutOfRange(f"{name} is {shown(value)}. {hint}", field=name))
    return ""


def _object(document: Mapping[str, Any], name: str, wrong: list[Mistake]) -> Mapping[str, Any]:
    value = document.get(name)
    if value is None:
        return {}
    if isinstance(value, dict):
        return value
    wrong.append(NotAnObject(name, value, name))
    return {}


def _weights(document: Mapping[str, Any], wrong: list[Mistake]) -> dict[str, Decimal]:
    if document.get("weights_g") is None:
        wrong.append(
            Missing("weights_g", 'Give each dish with its grams, such as {"splits": 2.4}; {} if all was sound.')
        )
    weights = _object(document, "weights_g", wrong)
    read = {dish: _amount(weights, dish, "grams", MOST_G, wrong, shown_as=f"weights_g.{dish}") for dish in weights}
    return {dish: grams for dish, grams in read.items() if grams is not None}


def _counts(document: Mapping[str, Any], wrong: list[Mistake]) -> dict[str, int]:
    counts = _object(document, "counts", wrong)
    read = {dish: _amount(counts, dish, "pieces", MOST_G, wrong, shown_as=f"counts.{dish}") for dish in counts}
    for dish, pieces in read.items():
        if pieces is not None and pieces != int(pieces):
            says = f"counts.{dish} is {pieces}. Pieces are counted whole: count again."
            wrong.append(OutOfRange(says, field=f"counts.{dish}"))
    return {dish: int(pieces) for dish, pieces in read.items() if pieces is not None}


def _readings(document: Mapping[str, Any], wrong: list[Mistake]) -> dict[str, Decimal]:
    said = _object(document, "readings", wrong)
    most = Decimal(100)
    read = {name: _amount(said, name, "per cent", most, wrong, shown_as=f"readings.{name}") for name in said}
    return {name: percent for name, percent in read.items() if percent is not None}


def _overlaps(document: Mapping[str, Any], wrong: list[Mistake]) -> tuple[Overlap, ...]:
    entries = document.get("overlap_g") or []
    if not isinstance(entries, list):
        wrong.append(NotAnObject("overlap_g should be a list and", entries, "overlap_g"))
        return ()
    return tuple(filter(None, (_overlap(entry, place, wrong) for place, entry in enumerate(entries))))


def _overlap(entry: object, place: int, wrong: list[Mistake]) -> Overlap | None:
    name = f"overlap_g.{place}"
    factors = entry.get("factors") if isinstance(entry, dict) else None
    if not isinstance(entry, dict) or not _are_two_texts(factors) or entry.get("g") is None:
        says = f'{name} is {shown(entry)}. Write {{"factors": ["damaged", "contrasting_classes"], "g": "1.2"}}.'
        wrong.append(OutOfRange(says, field=name))
        return None
    grams = _amount(entry, "g", "grams", MOST_G, wrong, shown_as=name)
    return None if grams is None else Overlap(tuple(factors or ()), grams)


def _are_two_texts(factors: object) -> bool:
    if not isinstance(factors, list) or not all(isinstance(factor, str) for factor in factors):
        return False
    return len(factors) >= 2 and len(set(factors)) == len(factors)


def _judged(document: Mapping[str, Any], wrong: list[Mistake]) -> dict[str, str]:
    words = {True: "yes", False: "no"}
    judged = {}
    for thing, word in _object(document, "appearance", wrong).items():
        if isinstance(word, bool | str):
            judged[thing] = words[word] if isinstance(word, bool) else word
        elif word is not None:
            says = f"appearance.{thing} is {shown(word)}. Give a word such as good_natural, or true or false."
            wrong.append(OutOfRange(says, field=f"appearance.{thing}"))
    return judged


def _stops(document: Mapping[str, Any], wrong: list[Mistake]) -> tuple[str, ...]:
    stops = document.get("stops") or []
    if isinstance(stops, list) and all(isinstance(stop, str) for stop in stops):
        return tuple(dict.fromkeys(stops))
    wrong.append(OutOfRange(f'stops is {shown(stops)}. Give a list of findings such as ["odour"].', field="stops"))
    return ()
