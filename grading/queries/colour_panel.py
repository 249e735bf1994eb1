"""A lot's colour as a box of its page."""

from grading.queries.colours import LotColour, colour_with_past
from grading.rules.colour_reading import CIELAB
from grading.stats.colour_past import FEWEST, against_past, difference_words
from grading.stats.colour_space import swatch
from hilum.plugins import Panel, Swatch
from inventory.models import Lot, Station


def colour_panels(station: Station, lot: Lot) -> list[Panel]:
    """Give the box of a lot whose colour was read (1 query)."""
    found, past = colour_with_past(station, lot)
    if found is None:
        return []
    rows = [("Colour", f"{found.lab.says}, read {found.on.isoformat()}"), ("Read under", found.conditions.says)]
    swatches: tuple[Swatch, ...] = ()
    if found.read.scale == CIELAB:
        more, swatches = _cielab_rows(found, past)
        rows += more
    return [Panel("Colour", tuple(rows), swatches=swatches)]


def _cielab_rows(found: LotColour, past: list[LotColour]) -> tuple[list[tuple[str, str]], tuple[Swatch, ...]]:
    shown = swatch(found.lab, found.read.illuminant, found.read.observer)
    clipped = "" if shown.is_in_gamut else ", the nearest that a screen can show"
    if not past:
        return [("On a screen", f"{shown.code}{clipped}")], (Swatch("this lot", shown.code),)
    against = against_past(found.lab, [each.lab for each in past])
    few = f" (fewer than {FEWEST} are too few to say what is usual)" if against.furthest is None else ""
    lots = "1 other lot" if against.n == 1 else f"{against.n} other lots"
    usual = against.past.estimate
    screen = swatch(usual, found.read.illuminant, found.read.observer).code
    rows = [
        ("On a screen", f"{shown.code}{clipped}"),
        ("The line's usual", f"{usual.says}, {screen} on a screen, from {lots}{few}"),
        ("Difference", difference_words(usual, found.lab)),
    ]
    return rows, (Swatch("this lot", shown.code), Swatch("the line's usual", screen))
