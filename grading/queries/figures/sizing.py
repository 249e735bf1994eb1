"""Sizes on screens: what a screen is in millimetres, the curve of a sieving, what another screen would take off."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from grading.queries.figures.figure import Answer, Figure
from grading.queries.figures.size_figures import curve_steps, curve_values, shown, shown_mm, shown_plain
from grading.queries.sizes import size_of
from grading.rules.screens import SIXTY_FOURTH, Screen, StackWrong, bare_notes, read_screen
from grading.rules.sieving import Sieved, read_sieving
from grading.rules.size_curve import passing_at, retained_between
from inventory.models import Station
from inventory.rules.gathering import Gathering
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import typed_text
from inventory.rules.working import Step

INCH = "International Yard and Pound Agreement (1959): 1 inch = 25.4 mm exactly"
LINEAR = "straight between the two screens around it (linear in size); our default, ours, no source"
STACK = {"looks": "screens, the widest first and the pan last: 32/64 round, 30, 28, pan"}
ON_EACH = {"looks": "grams on each screen and in the pan, in the order of the screens"}
SHARES = {"looks": "per cent on each screen and in the pan, instead of grams"}


@dataclass(frozen=True, kw_only=True)
class ScreensAsked:
    """Screens as they are written."""

    screens: Sequence[Any] = field(metadata={"looks": "screens: 24/64 round, 5.5/64 x 3/4 slot, 11.1 mm"})


@dataclass(frozen=True, kw_only=True)
class CurveAsked:
    """A sieving: of a lot in the books, or as typed."""

    lot: Any = None
    screens: Sequence[Any] = field(default=(), metadata=STACK)
    grams: Sequence[Any] = field(default=(), metadata=ON_EACH)
    pct: Sequence[Any] = field(default=(), metadata=SHARES)
    sieved_g: Any = field(default=None, metadata={"looks": "grams that went onto the top screen"})
    shape: Any = field(default="", metadata={"looks": "round or slotted, of screens that do not say it"})
    between: Sequence[Any] = field(default=(), metadata={"looks": "two screens, for the trade's uniformity"})


@dataclass(frozen=True, kw_only=True)
class AnotherAsked(CurveAsked):
    """A sieving, and the screen that one thinks of."""

    screen: Any = field(metadata={"looks": "the other screen: 27/64 round"})


def screens(asked: ScreensAsked, _station: Station | None = None) -> Answer:
    """Answer what screens are in millimetres.

    Raises:
        Refused: a screen that cannot be read.
    """
    words = Gathering()
    if not asked.screens:
        words.add(StackWrong("No screen is given. Give one or more, such as 24/64 round.", field="screens"))
    read = [
        words.attempt(lambda one=one, place=place: read_screen(one, field=f"screens.{place}"))  # type: ignore[misc]
        for place, one in enumerate(asked.screens, 1)
    ]  # fmt: skip
    words.finish()
    known = [screen for screen in read if screen is not None]
    values = [
        {"screen": one.name, "mm": shown_mm(one.mm), "sixty_fourths": shown_plain(one.mm / SIXTY_FOURTH),
         "shape": one.shape} for one in known
    ]  # fmt: skip
    says = tuple("The pan is no screen." if one.is_pan else f"{one.name} opens {shown_mm(one.mm)} mm." for one in known)
    working = tuple(_screen_step(one) for one in known)
    return Answer({"screens": values}, says, working, _said(bare_notes(known)))


def size_curve(asked: CurveAsked, station: Station | None) -> Answer:
    """Answer everything that a sieving says of sizes.

    Raises:
        Refused: the screens, amounts or the lot cannot be worked with.
    """
    words = Gathering()
    sieved, whose = _sieved(words, asked, station)
    between = _two_screens(words, asked.between, sieved)
    words.finish()
    if sieved is None:
        raise AssertionError("finish() lets nothing unread through")
    values, says, steps = curve_values(sieved), [*whose, *_curve_says(sieved)], curve_steps(sieved)
    if between:
        wide, narrow = between
        share = retained_between(sieved.stack, wide.mm, narrow.mm)
        values["between_pct"] = None if share is None else shown(share, 2)
        says.append(_between_says(wide, narrow, share))
        steps += _between_steps(wide, narrow, share)
    return Answer(values, tuple(says), tuple(steps), (*_said(words.notes), *_shape_note(sieved)))


def another_screen(asked: AnotherAsked, station: Station | None) -> Answer:
    """Answer what share of the seed another screen would take off.

    Raises:
        Refused: the sieving or the screen cannot be worked with, or the screen has holes of another shape.
    """
    words = Gathering()
    sieved, whose = _sieved(words, asked, station)
    screen = words.attempt(lambda: read_screen(asked.screen, field="screen"))
    words.add(*_other_shape(sieved, screen, "screen"))
    words.finish()
    if sieved is None or screen is None:
        raise AssertionError("finish() lets nothing unread through")
    through = passing_at(sieved.stack, screen.mm)
    values = {
        "screen": screen.name, "mm": shown_mm(screen.mm), "through_pct": None if through is None else shown(through, 2),
        "stays_pct": None if through is None else shown(100 - through, 2),
    }  # fmt: skip
    notes = ("Read off the curve: a hand sieve and a screen at work do not pass quite the same seed. Advice only.",)
    says = (*whose, _another_says(screen, through, sieved))
    return Answer(values, says, (_another_step(screen, through, sieved),), (*_said(words.notes), *notes))


def read_asked(words: Gathering, asked: CurveAsked) -> Sieved | None:
    """Read a sieving as typed."""
    return read_sieving(
        words, asked.screens, asked.grams, asked.pct, sieved_g=asked.sieved_g, shape=asked.shape
    )  # fmt: skip


def _sieved(words: Gathering, asked: CurveAsked, station: Station | None) -> tuple[Sieved | None, list[str]]:
    """Read the sieving, typed or in the books, and say whose it is."""
    if not typed_text(asked.lot).strip():
        if not (asked.screens or asked.grams or asked.pct):
            words.add(StackWrong("Nothing is given. Give lot=…, or screens and grams.", field="lot"))
            return None, []
        return read_asked(words, asked), []
    if asked.screens or asked.grams or asked.pct:
        words.add(Mistake("A lot and screens are given. Give the one or the other.", field="screens"))
    if station is None:
        words.add(Mistake("A lot is looked up at a station. Name the station, or give screens and grams.", field="lot"))
        return None, []
    found = words.attempt(lambda: size_of(station, asked.lot))
    return (found.sieved, [f"{found.lot}, sieved {found.on}."]) if found else (None, [])


def _two_screens(words: Gathering, typed: Sequence[Any], sieved: Sieved | None) -> tuple[Screen, Screen] | None:
    if not typed:
        return None
    if len(typed) != 2:
        words.add(StackWrong(f"Between has {len(typed)} screens. Give two, the wider first.", field="between"))
        return None
    read = [
        words.attempt(lambda one=one, place=place: read_screen(one, field=f"between.{place}"))  # type: ignore[misc]
        for place, one in enumerate(typed, 1)
    ]  # fmt: skip
    for screen in read:
        words.add(*_other_shape(sieved, screen, "between"))
    if read[0] is None or read[1] is None:
        return None
    if read[0].mm <= read[1].mm:
        words.add(
            StackWrong(f"{read[0].name} is not wider than {read[1].name}. Give the wider first.", field="between")
        )
    return read[0], read[1]


def _other_shape(sieved: Sieved | None, screen: Screen | None, field_name: str) -> list[Mistake]:
    """Refuse a screen with holes of another shape than those that the curve was made with, and the pan."""
    if screen is None or sieved is None:
        return []
    if screen.is_pan:
        return [StackWrong("The pan has no holes. Give a screen, such as 27/64 round.", field=field_name)]
    if screen.shape and sieved.stack.shape and screen.shape != sieved.stack.shape:
        says = f"{screen.name} is {screen.shape}, but the seed was sieved on {sieved.stack.shape} screens"
        return [
            StackWrong(f"{says}; these sort by different sizes. Sieve it on {screen.shape} ones.", field=field_name)
        ]
    return []


def _curve_says(sieved: Sieved) -> list[str]:
    values = curve_values(sieved)
    on = [f"{one['screen']} {one['retained_pct']} %" for one in values["screens"]]
    sizes = ", ".join(f"{name.upper()} {values[f'{name}_mm'] or 'not reached'}" for name in ("d10", "d50", "d90"))
    says = [f"Stayed: {', '.join(on)}.", f"Sizes in mm: {sizes}."]
    if values["span"]:
        says.append(f"Span {values['span']}.")
    if values["uniformity_pct"]:
        says.append(f"Uniformity: {values['uniformity_pct']} % of the seed is within 5 % of the middle size.")
    return [*says, f"Mean {values['mean_mm']:.2f} mm, CV {values['cv_pct']:.1f} %."]


def _between_says(wide: Screen, narrow: Screen, share: Fraction | None) -> str:
    if share is None:
        return f"What lies between {wide.name} and {narrow.name} is not reached by this stack."
    return f"{shown(share, 1)} % stays between {wide.name} and {narrow.name}."


def _between_steps(wide: Screen, narrow: Screen, share: Fraction | None) -> list[Step]:
    if share is None:
        return []
    formula = f"what passes {shown_mm(wide.mm)} mm less what passes {shown_mm(narrow.mm)} mm = {shown(share, 4)} %"
    return [Step("between two screens", formula, LINEAR, f"{shown(share, 2)}, half up to 0.01",
                 "common practice, no source: bean-trade uniformity")]  # fmt: skip


def _another_says(screen: Screen, through: Fraction | None, sieved: Sieved) -> str:
    if through is not None:
        return f"{screen.name} would let {shown(through, 1)} % through and keep {shown(100 - through, 1)} %."
    narrowest, widest = sieved.stack.points[0], sieved.stack.points[-1]
    if screen.mm > widest[0]:
        return f"{screen.name} is wider than the stack: {shown(widest[1], 1)} % or more would pass; more is not known."
    return (
        f"{screen.name} is narrower than the stack: {shown(narrowest[1], 1)} % or less would pass; more is not known."
    )


def _another_step(screen: Screen, through: Fraction | None, sieved: Sieved) -> Step:
    points = ", ".join(f"{shown_mm(mm)} mm {shown(passed, 2)} %" for mm, passed in sieved.stack.points)
    found = "not reached, and nothing is extrapolated" if through is None else f"{shown(through, 4)} %"
    return Step("through", f"at {shown_mm(screen.mm)} mm of the passing curve ({points}) = {found}", LINEAR,
                source="passing curve: common practice, no source")  # fmt: skip


def _screen_step(screen: Screen) -> Step:
    if screen.is_pan:
        return Step("pan", "what fell through the last screen", source="common practice, no source")
    parts = shown_plain(screen.mm / SIXTY_FOURTH)
    formula = f"{parts}/64 × 25.4 mm = {shown_mm(screen.mm)} mm"
    if " mm" in screen.name:
        formula = f"{shown_mm(screen.mm)} mm as written; / 25.4 mm × 64 = {parts}/64 in"
    return Step(screen.name, formula, rounding=f"{shown_mm(screen.mm)}, half up to 0.0001", source=INCH)


def _shape_note(sieved: Sieved) -> tuple[str, ...]:
    if sieved.stack.shape:
        return ()
    return ("Nobody said whether these holes are round or slotted; only curves of one shape compare.",)


def _said(notes: Sequence[Mistake]) -> tuple[str, ...]:
    return tuple(note.says for note in notes)


_STACK = {"screens": "32/64 round, 30/64, 28/64, 26/64, 24/64, 22/64, 20/64, pan", "grams": "20,95,210,110,40,18,5,2"}
FIGURES = (
    Figure(
        "screens", "What screens written in 64ths, inches or millimetres open, in millimetres.",
        ScreensAsked, screens, {"screens": "24/64 round, 5.5/64 x 3/4 slot, 11.1 mm"},
    ),
    Figure(
        "size curve", "What stays and what passes, D10 to D90, span, means and uniformity of a sieving or of a lot.",
        CurveAsked, size_curve, {**_STACK, "between": "30/64, 26/64"}, reads_books=True,
        looks_up=("lot",),
    ),
    Figure(
        "another screen", "What share of the seed another screen would take off, read off the size curve.",
        AnotherAsked, another_screen, {**_STACK, "screen": "27/64 round"}, reads_books=True, looks_up=("lot",),
    ),
)  # fmt: skip
