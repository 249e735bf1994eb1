"""Screens as people write them: "24/64 round", "11.1 mm", "5.5/64 x 3/4 slot", "fente 4,5 mm", the pan.

The opening is exact in millimetres: the diameter of a round hole, the width of a slot. A whole number without a unit
is read as 64ths of an inch, as the bean trade says screens (common practice, no source), and the answer says so.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from inventory.rules.mistakes import Mistake, Note
from inventory.rules.reading import ReadAs, field_words, listed, plain, quoted, typed_text, unaccented

# Exact by definition: International Yard and Pound Agreement (1959), 1 yard = 0.9144 m, so 1 inch = 25.4 mm.
MM_PER_INCH = Fraction(254, 10)
SIXTY_FOURTH = MM_PER_INCH / 64
WIDEST = Fraction(50)  # mm; no seed screen of this trade is wider
BARE_FROM, BARE_TO = 4, 64  # a whole number that is read as 64ths
ROUND, SLOTTED = "round", "slotted"
_ROUND = ("round", "rounds", "r", "rd", "rnd", "circular", "ø", "rond", "ronds", "ronde", "rondes",
          "redondo", "redondos", "redonda", "redondas")  # fmt: skip
_SLOTTED = ("slot", "slots", "slotted", "s", "oblong", "oblongs", "fente", "fentes", "oblongue", "oblongues",
            "ranura", "ranuras", "ranurada", "ranurado", "oblongo", "oblongos", "oblonga", "oblongas")  # fmt: skip
_PANS = ("pan", "bottom", "bottom pan", "receiver", "fond", "plateau", "bac", "fondo", "bandeja", "charola")
_SAYS_NOTHING = ("hole", "holes", "screen", "sieve", "trou", "trous", "a", "de", "tamis", "crible", "grille",
                 "agujero", "agujeros", "criba", "zaranda", "tamiz", "opening", "wide")  # fmt: skip
SHAPE_OF_WORD = {**dict.fromkeys(_ROUND, ROUND), **dict.fromkeys(_SLOTTED, SLOTTED)}
_MM = ("mm", "millimetre", "millimetres", "millimeter", "millimeters", "milimetro", "milimetros")
_INCH = ("in", "inch", "inches", "pouce", "pouces", "po", "pulgada", "pulgadas", "pulg")
UNIT_OF_WORD = {**dict.fromkeys(_MM, "mm"), **dict.fromkeys(_INCH, "in")}
_PARTS = ("2", "4", "8", "16", "32", "64")
_NUMBER = r"(?:[0-9]{1,6}(?:[.,][0-9]{1,6})?|[.,][0-9]{1,6})"
_SIZE = re.compile(rf"({_NUMBER})(?: ?/ ?({_NUMBER}))? ?(mm|in)?")
_WORD = re.compile(r"[^\W\d_]+|ø")


class ScreenUnread(Mistake):
    """A screen whose opening cannot be read."""

    code = "screen_unread"

    def __init__(self, typed: str, why: str, *, field: str) -> None:
        says = f"{field_words(field)} {quoted(typed)} {why}{'' if why.endswith('?') else '.'}"
        super().__init__(
            f"{says} Write the opening, such as 24/64 round, 11.1 mm round or 5.5/64 x 3/4 slot.", field=field
        )


class StackWrong(Mistake):
    """Screens that do not make a stack: too few, out of order, one twice, no pan, two shapes."""

    code = "stack_wrong"


@dataclass(frozen=True, slots=True)
class Screen:
    """A screen, or the pan below the last one.

    Attributes:
        name: as we write it: "24/64 in round".
        mm: the opening [mm]; 0 is the pan.
        shape: "round", "slotted", or "" where nobody said it.
        is_bare: its unit was not written; it was read as 64ths of an inch.
        words: as typed.
    """

    name: str
    mm: Fraction
    shape: str = ""
    is_bare: bool = False
    words: str = ""

    @property
    def is_pan(self) -> bool:
        """It is what lies below the last screen."""
        return self.mm == 0

    @property
    def is_slotted(self) -> bool:
        """Its holes are oblong; their width counts."""
        return self.shape == SLOTTED


def read_screen(typed: object, field: str = "screen") -> Screen:
    """Read one screen.

    Args:
        typed: text or a cell: fractions of an inch, inches, millimetres; words in English, French or Spanish.
        field: for the sentence.

    Raises:
        ScreenUnread: it names no opening, or one that no seed screen has.
    """
    text = typed_text(typed)
    try:
        return replace(_read(unaccented(plain(text))), words=plain(text))
    except _Unread as why:
        raise ScreenUnread(text, str(why), field=field) from None


def bare_notes(screens: Sequence[Screen], *, field: str = "screens") -> list[Note]:
    """Say once which numbers were read as 64ths of an inch because no unit stood with them."""
    bare = [screen.name for screen in screens if screen.is_bare]
    return (
        [ReadAs(", ".join(name.split("/")[0] for name in bare), f"64ths of an inch: {', '.join(bare)}", field=field)]
        if bare
        else []
    )


class _Unread(Exception):  # noqa: N818 - becomes a Mistake with its field one floor up
    """Why a text is no screen."""


@dataclass(frozen=True, slots=True)
class _Size:
    """One size: exact, as we write it, and its unit; "" where none is written."""

    number: Fraction
    written: str
    unit: str


def _read(said: str) -> Screen:
    """Read a folded text."""
    if said.strip(" .") in _PANS:
        return Screen("pan", Fraction(0))
    shape, sizes = _shape_and_sizes(said)
    width, *length = [_size(part.strip()) for part in sizes.split("x")]
    if len(length) > 1 or (length and shape == ROUND):
        raise _Unread("has a length; only a slot has one")
    if length and not width.unit and length[0].unit == "mm":
        width = _Size(width.number, width.written, "mm")
    mm, name = _opening(width)
    if not 0 < mm <= WIDEST:
        raise _Unread(f"is an opening of {float(mm):g} mm; it lies over 0 and up to {WIDEST} mm")
    if length:
        shape, name = SLOTTED, f"{name.removesuffix(' in')} x {length[0].written} {length[0].unit or 'in'}"
    return Screen(f"{name} {shape}".strip(), mm, shape, is_bare=not width.unit)


def _shape_and_sizes(said: str) -> tuple[str, str]:
    """Take the words off: the shape they name, and what is left of sizes with plain units."""
    shapes: set[str] = set()

    def kept(match: re.Match[str]) -> str:
        word = match[0]
        if word in SHAPE_OF_WORD:
            shapes.add(SHAPE_OF_WORD[word])
        elif word not in _SAYS_NOTHING and word not in UNIT_OF_WORD and word != "x":
            raise _Unread("counts wires, which is no opening" if word == "mesh" else f"holds the word {quoted(word)}")
        return f" {UNIT_OF_WORD.get(word, '')} " if word != "x" else "x"

    text = said.replace("⁄", "/").replace("×", "x").replace("*", "x")
    text = re.sub("′′|''|”|“|\"", " in ", text)
    text = re.sub("(?<=[0-9]) ?64 ?ths?", "/64", text)
    sizes = re.sub(r"\s+", " ", _WORD.sub(kept, text)).strip(" .")
    if len(shapes) > 1:
        raise _Unread("is called both round and slotted")
    return "".join(shapes), sizes


def _size(said: str) -> _Size:
    """Read one size in its own unit."""
    match = _SIZE.fullmatch(said)
    if match is None:
        raise _Unread("names no opening that can be read")
    written, bottom, unit = match[1].replace(",", "."), match[2], match[3] or ""
    if not bottom:
        return _Size(Fraction(written), written, unit)
    if unit == "mm":
        raise _Unread("is a fraction of a millimetre")
    if bottom not in _PARTS:
        raise _Unread(f"is in parts of {bottom}; an inch is parted in {listed(list(_PARTS))}")
    return _Size(Fraction(written) / int(bottom), f"{written}/{bottom}", "in")


def _opening(width: _Size) -> tuple[Fraction, str]:
    """Bring an opening to millimetres; a whole number alone is 64ths."""
    if width.unit == "mm":
        return width.number, f"{width.written} mm"
    if width.unit == "in":
        return width.number * MM_PER_INCH, f"{width.written} in"
    if width.number.denominator != 1 or not BARE_FROM <= width.number <= BARE_TO:
        raise _Unread(f"has no unit: is it {width.written}/64 or {width.written} mm?")
    return width.number * SIXTY_FOURTH, f"{width.written}/64 in"


def read_stack(
    typed: Sequence[object], *, shape: object = "", field: str = "screens"
) -> tuple[list[Screen], list[Mistake]]:
    """Read a stack, the widest screen first and the pan last.

    Args:
        typed: the screens in order.
        shape: of all screens that do not say theirs: a word for round or slotted, or "".
        field: for the sentences; a screen is named by its place: "screens.3".

    Returns:
        The screens that could be read, and everything that is wrong with them.
    """
    screens: list[Screen] = []
    mistakes: list[Mistake] = []
    for place, one in enumerate(typed, 1):
        try:
            screens.append(read_screen(one, field=f"{field}.{place}"))
        except Mistake as mistake:
            mistakes.append(mistake)
    if mistakes:
        return screens, mistakes
    said = _said_shape(shape)
    if said is None:
        return screens, [StackWrong(f"Shape reads {quoted(typed_text(shape))}. Give round or slotted.", field="shape")]
    return _one_shape(screens, said), stack_mistakes(screens, said, field=field)


def stack_mistakes(screens: Sequence[Screen], shape: str = "", *, field: str = "screens") -> list[Mistake]:
    """Find what is wrong with the stack of a size curve: two screens or more of one shape, in order, and the pan."""
    if len(screens) < 2:
        says = "A size curve needs two screens or more, each with its name and once, the pan last. Check the screens."
        return [StackWrong(says, field=field)]
    mistakes = order_mistakes(screens, field)
    if not any(screen.is_pan for screen in screens):
        says = "The pan is missing. Give what fell through the last screen, 0 if nothing."
        mistakes.append(StackWrong(says, field=field))
    shapes = {shape, *(screen.shape for screen in screens)} - {""}
    if len(shapes) > 1:
        says = "Round and slotted screens are in one stack; they sort by different sizes. Give each its own curve."
        mistakes.append(StackWrong(says, field=field))
    return mistakes


def order_mistakes(screens: Sequence[Screen], field: str) -> list[Mistake]:
    """Want screens from the widest hole down, each once, the pan last.

    Round and slotted holes part seed by different sizes, so only screens of one shape are held against each other.

    Args:
        screens: from the top.
        field: the list, for sentences.
    """
    wrong: list[Mistake] = []
    for place, screen in enumerate(screens, 1):
        above = [one for one in screens[: place - 1] if one.is_slotted == screen.is_slotted or screen.is_pan]
        if any(one.mm == screen.mm for one in above):
            wrong.append(StackWrong(f"{screen.words} stands twice. Keep one of them.", field=f"{field}.{place}"))
        elif [one for one in above if one.mm < screen.mm] or any(one.is_pan for one in screens[: place - 1]):
            says = f"{screen.words} stands under {screens[place - 2].words}. Give the stack from the widest hole down"
            wrong.append(StackWrong(f"{says}, the pan last.", field=f"{field}.{place}"))
    return wrong


def _said_shape(shape: object) -> str | None:
    text = unaccented(plain(typed_text(shape)))
    return SHAPE_OF_WORD.get(text) if text else ""


def _one_shape(screens: Sequence[Screen], said: str) -> list[Screen]:
    """Let screens that do not say their shape take the stack's, as people name it once."""
    shape = next((screen.shape for screen in screens if screen.shape), said)
    return [
        screen if screen.is_pan or screen.shape or not shape
        else replace(screen, name=f"{screen.name} {shape}", shape=shape)
        for screen in screens
    ]  # fmt: skip
