"""One lot's tests told three times: a sentence, a picture, a table with the same numbers."""

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.utils.translation import gettext, ngettext

from grading.queries.behind import in_100
from grading.queries.colours import LotColour, newest_colours, past_of
from grading.queries.germination import Tested, germinations_of, threshold_of
from grading.queries.lab import Sized, sized_of, weighed_of
from grading.queries.posts import germination_dots
from grading.rules.colour_reading import CIELAB
from grading.rules.germination import is_too_near_to_call
from grading.rules.size_curve import size_passing
from grading.stats.colour import Lab
from grading.stats.colour_past import FEWEST, against_past, difference_words
from grading.stats.colour_space import swatch
from hilum.plugins import Curve, Swatch
from inventory.drawing.curve import HEIGHT, WIDTH, draw_curve
from inventory.drawing.post import Judged, posts
from inventory.drawing.replicates import replicate_row
from inventory.models import Lot, Station
from inventory.pages.panels import DOTS_HEIGHT, swatches_picture
from inventory.pages.pictures import Picture
from inventory.queries.moistures import newest_moisture
from inventory.queries.showing import shown_number
from inventory.rules.moisture import storage_advice
from inventory.rules.rounding import half_up

_HEADS = {
    "germination": ("test", "date", "replicate", "normal of 100", "mean %", "spread", "allowed spread"),
    "sizes": ("screen", "opening mm", "passed %", "past least %", "past most %"),
    "colour": ("what", "on a screen"),
}
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
        return csv_heads(what), [row for each in shown["germination"] for row in each["table"]]
    if what == "sizes" and shown["sizes"]:
        return csv_heads(what), shown["sizes"]["table"]
    if what == "colour" and shown["colour"]:
        return csv_heads(what), [(one.words, one.code) for one in shown["colour"]["swatches"]]
    return None


def csv_heads(what: str) -> Sequence[str]:
    """Name the columns of a picture's table."""
    return _HEADS[what]


def picture_of(lot: Lot, shown: dict[str, Any], what: str, test: str) -> Picture | None:
    """Give a picture as a file needs it; None where there is none.

    Args:
        test: number of the germination test that is meant.
    """
    if what == "germination":
        found = next((each for each in shown["germination"] if each["test"].number == test), None)
        return _germination_picture(found) if found else None
    if what == "sizes" and shown["sizes"] and shown["sizes"]["drawn"]:
        return _size_picture(lot, shown["sizes"])
    colour = shown["colour"] if what == "colour" else None
    if colour and colour["swatches"]:
        return swatches_picture(f"{gettext('Colour')} {lot.number}", colour["says"], colour["swatches"])
    return None


def _germination_picture(shown: dict[str, Any]) -> Picture:
    title = f"{gettext('Germination')} {shown['test'].number}"
    heads, rows = csv_heads("germination"), [[str(cell) for cell in row] for row in shown["table"]]
    context = {"one": shown["one"], "row": shown["row"]}
    return Picture(title, shown["says"], "inventory/pictures/replicates.svg", context, WIDTH, DOTS_HEIGHT, heads, rows)


def _size_picture(lot: Lot, shown: dict[str, Any]) -> Picture:
    rows = [[str(cell) for cell in row] for row in shown["table"]]
    context = {"curve": shown["curve"], "drawn": shown["drawn"]}
    lines = [shown["curve"].before_words] if shown["curve"].before_words else []
    return Picture(
        f"{gettext('Sizes')} {lot.number}", shown["says"], "inventory/pictures/curve.svg", context, WIDTH, HEIGHT,
        csv_heads("sizes"), rows, lines,
    )  # fmt: skip


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
    one = germination_dots(test, threshold)
    judges = [] if test.needs_retest else [judged]  # what is to be tested again tells nothing of the lot
    return {
        "test": test, "says": _says(test), "one": one, "row": replicate_row(one), "posts": posts(judges),
        "table": rows,
    }  # fmt: skip


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
    rows = [
        (names[mm], half_up(mm, 3), half_up(passed, 1), *_past(sized, mm)) for mm, passed in sized.stack.points
    ]  # fmt: skip
    curve = _curve(lot, sized)
    drawn = draw_curve(curve) if len(curve.points) > 1 else None
    return {"says": _size_says(lot, sized), "curve": curve, "drawn": drawn, "table": rows, "lots": sized.lots}


def _curve(lot: Lot, sized: Sized) -> Curve:
    points = tuple((half_up(mm, 4), half_up(passed, 4)) for mm, passed in sized.stack.points)
    past = sorted(sized.past.items())
    before = tuple((half_up(mm, 4), half_up(least, 4), half_up(most, 4)) for mm, (least, most) in past)
    words = ngettext("%(n)s other lot of its line", "%(n)s other lots of its line", sized.lots) % {"n": sized.lots}
    return Curve(lot.number, "screen [mm]", "passed [%]", points, before, words if before else "")


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
    said: dict[str, Any] = {"says": f"{found.lab.says}, {found.conditions.says}", "on": found.on, "swatches": []}
    if found.read.scale != CIELAB:
        return said
    own = swatch(found.lab, found.read.illuminant, found.read.observer)
    past = past_of(station, found)
    said |= {"swatches": [Swatch(found.lot, own.code)], "is_shown": own.is_in_gamut}
    if not past:
        return said
    against = against_past(found.lab, [each.lab for each in past])
    usual = against.past.estimate
    return {
        **said, "line": found.line, "lots": against.n, "usual_says": usual.says,
        "swatches": [*said["swatches"], _usual(found, usual)],
        "difference": difference_words(usual, found.lab),
    }  # fmt: skip


def _usual(found: LotColour, usual: Lab) -> Swatch:
    code = swatch(usual, found.read.illuminant, found.read.observer).code
    return Swatch(gettext("the usual of %(line)s") % {"line": found.line}, code)
