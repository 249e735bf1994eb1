"""Colours: the mean of readings with its swatch, how far two are apart, and a lot's against its line's past."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from grading.queries.colours import LotColour, conditions_of, lab_of_read, newest_colours, past_of
from grading.queries.figures.colour_steps import (
    chroma_steps,
    difference_steps,
    mean_step,
    numbers,
    past_steps,
    rounded,
    swatch_step,
)
from grading.queries.figures.figure import Answer, Figure
from grading.rules.colour_reading import (
    CIELAB,
    ColourRead,
    SeenColour,
    apart_mistakes,
    read_seen,
    unlike,
)
from grading.stats.colour import Lab, mean_colour
from grading.stats.colour_difference import WEIGHTS, cie76, cie94, ciede2000
from grading.stats.colour_past import FEWEST, WORDS_SOURCE, against_past, difference_words, seen_as, ways
from grading.stats.colour_space import swatch
from inventory.models import Station
from inventory.queries.finding import find_lot
from inventory.rules.gathering import Gathering
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import typed_text

HUNTER_NOTE = "Hunter Lab is another scale: it has no CIELAB chroma, hue, difference or swatch here."

CLIPPED_NOTE = "A screen of sRGB cannot show this colour: each part of the swatch was clipped to what it can show."


class NotCielab(Mistake):
    """A difference was asked for on a scale that the formulas are not made for."""

    code = "not_cielab"

    def __init__(self, scale: str, field_name: str) -> None:
        says = f"{scale} is not CIELAB, for which the formulas are made. Give both colours in CIELAB."
        super().__init__(says, field=field_name)


class NoColour(Mistake):
    """A lot whose colour was never read."""

    code = "no_colour"

    def __init__(self, lot: str) -> None:
        super().__init__(f"No colour of {lot} is in the books. Read it, and enter it with `book colour`.", field="lot")


@dataclass(frozen=True, kw_only=True)
class TwoColours:
    """A reference and a sample, each with what it was read under; CIE94 is weighed for graphic arts or textiles."""

    reference: SeenColour = field(metadata={"looks": "its parts, such as reference.lightness=62"})
    sample: SeenColour = field(metadata={"looks": "its parts, such as sample.lightness=55"})
    cie94_weights: str = "graphic arts"


@dataclass(frozen=True, kw_only=True)
class ColourOfLotAsked:
    """A lot, and a reference such as the station's own chip where there is one."""

    lot: Any
    reference: SeenColour | None = field(
        default=None, metadata={"looks": "its parts, such as reference.lightness=62, if the lot is held against a chip"}
    )


def colour(asked: SeenColour, _station: Station | None = None) -> Answer:
    """Answer the mean of readings, its chroma and hue, and the colour that a screen shows.

    Raises:
        Refused: a number that cannot be read or lies off the scale, or no light or observer.
    """
    words = Gathering()
    read = read_seen(words, asked)
    words.finish()
    if read is None:
        raise AssertionError("finish() lets nothing unread through")
    values, says, steps, notes = _told(read)
    notes = (*notes, *(note.says for note in words.notes), *(each.says for each in apart_mistakes(read)))
    return Answer(values, says, steps, notes)


def colour_difference(asked: TwoColours, _station: Station | None = None) -> Answer:
    """Answer how far a sample is from a reference, by three formulas and in words.

    Raises:
        Refused: what cannot be read, and colours that were read otherwise or on another scale than CIELAB.
    """
    words = Gathering()
    reference = read_seen(words, asked.reference, "reference.")
    sample = read_seen(words, asked.sample, "sample.")
    weights = words.word(asked.cie94_weights, "cie94_weights", tuple(WEIGHTS), "graphic arts")
    if reference and sample:
        words.add(*_not_comparable(reference, sample, "sample."))
    words.finish()
    if reference is None or sample is None:
        raise AssertionError("finish() lets nothing unread through")
    one, other = lab_of_read(reference), lab_of_read(sample)
    values = {
        "delta_e_76": rounded(cie76(one, other)),
        "delta_e_94": rounded(cie94(one, other, WEIGHTS[weights])),
        "delta_e_94_weights": weights,
        "delta_e_2000": rounded(ciede2000(one, other).estimate),
        "ways": ways(one, other),
        "seen_as": seen_as(ciede2000(one, other).estimate),
    }
    says = f"The sample is {difference_words(one, other)}."
    notes = (f"In words: {WORDS_SOURCE}.", *(note.says for note in words.notes))
    return Answer(values, (says,), difference_steps(one, other, weights), notes)


def colour_of_lot(asked: ColourOfLotAsked, station: Station | None = None) -> Answer:
    """Answer a lot's colour against its line's other lots, and against a reference where one is given.

    Raises:
        Refused: no such lot, no colour of it, or a reference that was read otherwise.
    """
    if station is None:
        raise AssertionError("this figure reads the books of a station")
    words = Gathering()
    found = words.attempt(lambda: _newest(station, asked.lot))
    reference = read_seen(words, asked.reference, "reference.") if asked.reference else None
    if found and reference:
        words.add(*_not_comparable(found.read, reference, "reference."))
    words.finish()
    if found is None:
        raise AssertionError("finish() lets nothing unread through")
    values, says, steps, notes = _told(found.read, f"{found.lot}, read {found.on.isoformat()}")
    answer = Answer({"lot": found.lot, "line": found.line, "on": found.on.isoformat(), **values}, says, steps, notes)
    if found.read.scale == CIELAB:
        answer = _joined(answer, _past(station, found))
    return _joined(answer, _to_reference(found, reference)) if reference else answer


def _newest(station: Station, typed: object) -> LotColour:
    lot, _notes = find_lot(station, typed_text(typed), field="lot")
    found = newest_colours(station, [lot.pk]).get(lot.pk)
    if found is None:
        raise NoColour(lot.number)
    return found


def _not_comparable(one: ColourRead, other: ColourRead, where: str) -> list[Mistake]:
    if one.scale == other.scale and one.scale != CIELAB:
        return [NotCielab(one.scale, f"{where}scale")]
    return unlike(one, other, where)


Told = tuple[dict[str, Any], tuple[str, ...], tuple[Any, ...], tuple[str, ...]]


def _told(read: ColourRead, what: str = "The colour") -> Told:
    """Tell a colour: values, sentences, steps, notes."""
    readings = [Lab(*map(float, reading)) for reading in read.readings]
    mean, conditions = mean_colour(readings), conditions_of(read)
    lab = mean.estimate
    values: dict[str, Any] = {
        **numbers(lab), "n": mean.n, "spread": numbers(mean.spread) if mean.spread else None,
        "apart": rounded(mean.apart), "scale": read.scale, "illuminant": read.illuminant, "observer": read.observer,
        "instrument": read.instrument, "chroma": None, "hue_degrees": None, "swatch": None, "in_gamut": None,
        "clipped": None,
    }  # fmt: skip
    said = f"{what}: {lab.says} ({conditions.says}{f', mean of {mean.n} readings' if mean.n > 1 else ''})."
    if read.scale != CIELAB:
        return values, (said,), (mean_step(readings, mean),), (HUNTER_NOTE,)
    shown = swatch(lab, read.illuminant, read.observer)
    values |= {"chroma": rounded(lab.chroma), "hue_degrees": rounded(lab.hue)}
    values |= {"swatch": shown.code, "in_gamut": shown.is_in_gamut, "clipped": rounded(shown.clipped)}
    hue = "a grey, which has no hue" if lab.hue is None else f"hue {lab.hue:.1f}°"
    more = f"Chroma {lab.chroma:.2f}, {hue}; a screen shows it as {shown.code}."
    notes = () if shown.is_in_gamut else (CLIPPED_NOTE,)
    steps = (mean_step(readings, mean), *chroma_steps(lab), swatch_step(lab, conditions, shown))
    return values, (said, more), steps, notes


def _past(station: Station, found: LotColour) -> Answer:
    """Hold a lot against the other lots of its line."""
    if found.line_id is None:
        return Answer({"past": None}, (f"{found.lot} stands under no line, so it has no past to be held against.",), ())
    past = past_of(station, found)
    if not past:
        says = f"No other lot of {found.line} was read alike up to that day: too few to say what is usual."
        return Answer({"past": {"n": 0}}, (says,), ())
    against = against_past(found.lab, [each.lab for each in past])
    values = {
        **numbers(against.past.estimate), "swatch": _code(against.past.estimate, found.read), "n": against.n,
        "lots": [each.lot for each in past],
        "spread": numbers(against.past.spread) if against.past.spread else None,
        "delta_e_2000": rounded(against.estimate),
        "furthest_of_them": rounded(against.furthest), "further_than_all": against.is_further_than_all,
        "seen_as": seen_as(against.estimate), "ways": ways(against.past.estimate, found.lab),
    }  # fmt: skip
    lots = "1 other lot" if against.n == 1 else f"{against.n} other lots"
    first = f"From {lots} of {found.line} it is {difference_words(against.past.estimate, found.lab)}."
    others = {each.read.instrument.casefold() for each in past} - {found.read.instrument.casefold()}
    notes = ("Some of these were read with another instrument, or with one that is not named.",) if others else ()
    return Answer({"past": values}, (first, _usual(against.furthest)), past_steps(found, past, against), notes)


def _usual(furthest: float | None) -> str:
    if furthest is None:
        return f"Fewer than {FEWEST} lots are too few to say what is usual for the line."
    return f"The line's own lots lay up to {furthest:.1f} from their mean."


def _to_reference(found: LotColour, reference: ColourRead) -> Answer:
    chip, lab = lab_of_read(reference), found.lab
    values: Mapping[str, Any] = {
        **numbers(chip), "swatch": _code(chip, reference), "delta_e_2000": rounded(ciede2000(chip, lab).estimate),
        "delta_e_76": rounded(cie76(chip, lab)), "delta_e_94": rounded(cie94(chip, lab)), "ways": ways(chip, lab),
        "seen_as": seen_as(ciede2000(chip, lab).estimate),
    }  # fmt: skip
    says = f"From the reference it is {difference_words(chip, lab)}."
    return Answer({"reference": values}, (says,), difference_steps(chip, lab, "graphic arts"))


def _code(lab: Lab, read: ColourRead) -> str:
    return swatch(lab, read.illuminant, read.observer).code


def _joined(one: Answer, other: Answer) -> Answer:
    words = (f"In words: {WORDS_SOURCE}.",) if other.working else ()
    notes = tuple(dict.fromkeys((*one.notes, *other.notes, *words)))
    return Answer({**one.values, **other.values}, (*one.says, *other.says), (*one.working, *other.working), notes)


_PINTO = {"lightness": "62.1, 61.8, 62.4", "a": "5.9, 6.1, 6.0", "b": "18.2, 17.9, 18.0"}
_LIGHT = {"illuminant": "D65", "observer": "10"}
FIGURES = (
    Figure(
        "colour", "The mean of L*a*b* readings with its spread, chroma, hue and the colour that a screen shows.",
        SeenColour, colour, {**_PINTO, **_LIGHT},
    ),
    Figure(
        "colour difference", "How far a sample's colour is from a reference: CIE76, CIE94, CIEDE2000, and in words.",
        TwoColours, colour_difference,
        {
            "reference": {"lightness": "62", "a": "6", "b": "18", **_LIGHT},
            "sample": {"lightness": "55", "a": "8", "b": "20", **_LIGHT},
        },
    ),
    Figure(
        "colour of a lot", "A lot's newest colour against the other lots of its line and against a reference.",
        ColourOfLotAsked, colour_of_lot, {"lot": "25-0005-6"}, reads_books=True,
    ),
)  # fmt: skip
