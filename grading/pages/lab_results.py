"""One lot's tests told three times: a sentence, a picture, a table with the same numbers."""

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.utils.translation import gettext

from grading.drawing.germination import picture
from grading.drawing.size_curve import curve
from grading.queries.behind import in_100
from grading.queries.colours import LotColour, newest_colours, past_of
from grading.queries.germination import Tested, germinations_of, threshold_of
from grading.queries.lab import Sized, sized_of, weighed_of
from grading.rules.colour_reading import CIELAB
from grading.rules.germination import is_too_near_to_call
from grading.rules.size_curve import size_passing
from grading.stats.colour_past import FEWEST, against_past, difference_words
from grading.stats.colour_space import swatch
from inventory.drawing.post import Judged, posts
from inventory.models import Lot, Station
from inventory.queries.moistures import newest_moisture
from inventory.queries.showing import shown_number
from inventory.rules.moisture import storage_advice
from inventory.rules.rounding import half_up

Table = tuple[Sequence[str], list[tuple[object, ...]]]


def results_of(station: Station, lot: Lot) -> dict[str, Any]:
    """Gather a lot's tests (up to 12 queries)."""
    tests = germinations_of(station, [lot.pk]).get(lot.pk, [])
    sized, colour = sized_of(station, lot), newest_colours(station, [lot.pk]).get(lot.pk)
    threshold = threshold_of(station)
    return {
        "germination": [_germination(test, threshold) for test in tests],
        "weight": weighed_of(lot),
        "moisture": _moisture(lot),
        "sizes": _sizes(lot, sized) if sized else None,
        "colour": _colour(station, colour) if colour else None,
    }


def _moisture(lot: Lot) -> str:
    """Say how moist it is, and what is to be done about it."""
    percent = newest_moisture(lot)
    if percent is None:
        return ""
    said = gettext("%(percent)s %% moisture, wet basis") % {"percent": shown_number(percent)}
    advice = storage_advice(percent)
    return f"{said}: {advice}" if advice else f"{said}."


def csv_of(shown: dict[str, Any], what: str) -> Table | None:
    """Give the numbers of one picture as a table; None where there is none."""
    if what == "germination" and shown["germination"]:
        heads = ("test", "date", "replicate", "normal of 100", "mean %", "spread", "allowed spread")
        return heads, [row for one in shown["germination"] for row in one["table"]]
    if what == "sizes" and shown["sizes"]:
        return ("screen", "opening mm", "passed %", "past least %", "past most %"), shown["sizes"]["table"]
    return None


def drawn(shown: dict[str, Any], what: str, test: str) -> dict[str, Any] | None:
    """Give what a picture is drawn from; None where there is none.

    Args:
        test: number of the germination test that is meant.
    """
    if what == "germination":
        return next((one for one in shown["germination"] if one["test"].number == test), None)
    return shown["sizes"] if what == "sizes" else None


def _germination(test: Tested, threshold: int) -> dict[str, Any]:
    result = test.result
    chance = test.chance_at_least(threshold)
    low, high = (half_up(Decimal(str(end * 100)), 1) for end in (test.interval.low, test.interval.high))
    judged = Judged(
        gettext("germination"), result.mean_pct, half_up(threshold, 0), f"{result.mean_pct} %", low=low, high=high,
        is_least=True, words=_against(test, chance, threshold),
    )  # fmt: skip
    rows = [
        (test.number, test.on.isoformat(), place, count, result.mean_pct, result.spread, result.allowed)
        for place, count in enumerate(result.normal, 1)
    ]
    drawn = picture(result.normal, float(result.mean_pct), result.allowed, threshold)
    return {"test": test, "says": _says(test), "picture": drawn, "posts": posts([judged]), "table": rows}


def _says(test: Tested) -> str:
    result = test.result
    mean = shown_number(result.mean_pct)
    figures = {"number": test.number, "mean": mean, "spread": result.spread, "allowed": result.allowed}
    if result.allowed is None:
        return gettext("%(number)s: %(mean)s %%; the table has no spread for this mean.") % figures
    if test.needs_retest:
        return gettext(
            "%(number)s: %(mean)s %%, but the replicates spread over %(spread)s points and %(allowed)s are allowed: "
            "test again."
        ) % figures  # fmt: skip
    return (
        gettext("%(number)s: %(mean)s %%; the replicates spread over %(spread)s points of %(allowed)s allowed.")
        % figures
    )


def _against(test: Tested, chance: float, threshold: int) -> str:
    gap = test.result.mean_pct - threshold
    words = gettext("%(gap)s above") if gap >= 0 else gettext("%(gap)s below")
    near = f"; {gettext('too near to call')}" if is_too_near_to_call(chance) else ""
    return f"{words % {'gap': shown_number(abs(gap))}} {threshold} %, {in_100(chance)}{near}"


def _sizes(lot: Lot, sized: Sized) -> dict[str, Any]:
    names = {screen.mm: screen.name for screen in sized.stack.screens}
    points = [(float(mm), float(passed), names[mm]) for mm, passed in sized.stack.points]
    past = {float(mm): (float(low), float(high)) for mm, (low, high) in sized.past.items()}
    rows = [
        (names[mm], half_up(mm, 3), half_up(passed, 1), *_past(sized, mm)) for mm, passed in sized.stack.points
    ]  # fmt: skip
    drawn = curve(points, past)
    return {"says": _size_says(lot, sized), "curve": drawn, "table": rows, "lots": sized.lots, "on": sized.on}


def _past(sized: Sized, mm: Fraction) -> tuple[object, object]:
    if mm not in sized.past:
        return ("", "")
    low, high = sized.past[mm]
    return half_up(low, 1), half_up(high, 1)


def _size_says(lot: Lot, sized: Sized) -> str:
    middle = size_passing(sized.stack, Fraction(50)) if len(sized.stack.points) > 1 else None
    figures = {"lot": lot.number, "mm": shown_number(half_up(middle, 2)) if middle else ""}
    half = gettext("Half of %(lot)s passes %(mm)s mm.") % figures if middle else ""
    if not sized.past:
        return f"{half} {gettext('No other lot of its line was sized on such screens.')}".strip()
    furthest = max(_outside(sized, mm, passed) for mm, passed in sized.stack.points)
    if not furthest:
        return f"{half} {gettext('It lies within what the other lots of its line passed, on every screen.')}".strip()
    told = gettext("It passes up to %(points)s points more or less than the other lots of its line.")
    few = f" {gettext('They are too few to say what is usual.')}" if sized.lots < FEWEST else ""
    return f"{half} {told % {'points': shown_number(half_up(furthest, 1))}}{few}".strip()


def _outside(sized: Sized, mm: Fraction, passed: Fraction) -> Fraction:
    """How far a point of the curve lies outside of what the line's other lots passed; 0 within it [% points]."""
    low, high = sized.past.get(mm, (passed, passed))
    return max(low - passed, passed - high, Fraction(0))


def _colour(station: Station, found: LotColour) -> dict[str, Any]:
    """The computed square beside the line's usual one; without CIELAB the numbers alone."""
    said = {"says": f"{found.lab.says}, {found.conditions.says}", "on": found.on}
    if found.read.scale != CIELAB:
        return said
    own = swatch(found.lab, found.read.illuminant, found.read.observer)
    past = past_of(station, found)
    if not past:
        return {**said, "code": own.code, "is_shown": own.is_in_gamut}
    against = against_past(found.lab, [each.lab for each in past])
    usual = against.past.estimate
    return {
        **said, "code": own.code, "is_shown": own.is_in_gamut, "line": found.line, "lots": against.n,
        "usual": swatch(usual, found.read.illuminant, found.read.observer).code, "usual_says": usual.says,
        "difference": difference_words(usual, found.lab),
    }  # fmt: skip
