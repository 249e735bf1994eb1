"""What a market class wants to look like, and what of a sample falls short of it; never an official grade."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from grading.rules.mistakes import UnknownWord
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import listed, plain, typed_text
from inventory.rules.working import Step

NEVER_A_GRADE = "A card is the station's own and never an official grade: that is for licensed inspectors."


@dataclass(frozen=True, slots=True)
class LookedAt:
    """A thing that is looked at.

    Attributes:
        name: as it is typed; `words` is what people call it.
        definition: what the `?` beside it says.
        borderline: the case that is hard to tell.
        best_first: its words in order.
        enough: the last of them that is good enough.
    """

    name: str
    words: str
    definition: str
    borderline: str
    best_first: tuple[str, ...]
    enough: str

    def is_enough(self, word: str) -> bool:
        """A word is as good as the card wants it."""
        return self.best_first.index(word) <= self.best_first.index(self.enough)

    @property
    def wanted(self) -> str:
        """The words that are good enough."""
        return listed(list(self.best_first[: self.best_first.index(self.enough) + 1]))


@dataclass(frozen=True, slots=True)
class ColourTarget:
    """The colour that is wanted: CIELAB, what it was read under, and how far is still near enough by CIEDE2000 [1]."""

    lightness: Decimal
    a: Decimal
    b: Decimal
    illuminant: str
    observer: str
    within: Decimal
    source: str


@dataclass(frozen=True, slots=True)
class WeightRange:
    """What a hundred seeds weigh [g]; both ends are good."""

    least: Decimal
    most: Decimal
    source: str


@dataclass(frozen=True, slots=True)
class OnScreens:
    """What these screens together must hold [% by weight]."""

    held_on: tuple[str, ...]
    least_pct: Decimal
    source: str


@dataclass(frozen=True, slots=True)
class ClassCard:
    """A card; grading/class_cards/README.md says what each part holds."""

    id: str
    edition: str
    title: str
    station: str
    classes: tuple[str, ...]
    source: str
    notes: tuple[str, ...]
    looked_at: tuple[LookedAt, ...]
    colour: ColourTarget | None = None
    hundred_seeds_g: WeightRange | None = None
    screens: OnScreens | None = None

    @property
    def says(self) -> str:
        """The card by name: "QM-DEMO-PINTO, edition 1"."""
        return f"{self.id}, edition {self.edition}"


@dataclass(frozen=True, slots=True)
class Found:
    """What was found of a sample.

    Attributes:
        words: thing -> the word that was said, as the card writes both.
        colour_away: distance of the lot's colour from the card's by CIEDE2000 [1].
        colour_ways: how it differs: "darker by 3.1".
        hundred_seeds_g: mean [g].
        held_pct: what the card's screens held together [% by weight].
    """

    words: Mapping[str, str]
    colour_away: Decimal | None = None
    colour_ways: str = ""
    hundred_seeds_g: Decimal | None = None
    held_pct: Decimal | None = None


@dataclass(frozen=True, slots=True)
class CardResult:
    """A sample against a card.

    Attributes:
        card: which.
        fell_short: what is not as wanted, a sentence each.
        met: what is as wanted, a sentence each.
        not_looked_at: what of the card nothing is known of, in words.
        working: how each was decided.
    """

    card: ClassCard
    fell_short: tuple[str, ...]
    met: tuple[str, ...]
    not_looked_at: tuple[str, ...]
    working: tuple[Step, ...] = field(default=())

    @property
    def says(self) -> tuple[str, ...]:
        """The result in sentences, what fell short first."""
        looked = len(self.fell_short) + len(self.met)
        if self.fell_short:
            head = f"By card {self.card.says}, {len(self.fell_short)} of {looked} fell short."
        else:
            head = f"By card {self.card.says}, all {looked} that were looked at are as wanted."
        left = (f"Not looked at: {listed(list(self.not_looked_at), 'and')}.",) if self.not_looked_at else ()
        return (head, *self.fell_short, *self.met, *left)


class SaidTwice(Mistake):
    """Two words for one thing."""

    code = "said_twice"

    def __init__(self, what: str, field_name: str) -> None:
        super().__init__(f"{what.capitalize()} was said twice. Keep one of the two.", field=field_name)


def word_mistakes(card: ClassCard, typed: Mapping[str, object]) -> tuple[dict[str, str], list[Mistake]]:
    """Read what was said of each thing, in any case and with blanks or underscores.

    Returns:
        thing -> word as the card writes both; and what is wrong.
    """
    things = {_folded(each.name): each for each in card.looked_at}
    read: dict[str, str] = {}
    wrong: list[Mistake] = []
    for name, word in typed.items():
        thing = things.get(_folded(name))
        if thing is None:
            names = [each.name for each in card.looked_at]
            wrong.append(UnknownWord(f"thing of card {card.id}", name, names, f"looks.{name}"))
            continue
        known = {_folded(each): each for each in thing.best_first}
        found = known.get(_folded(word))
        if thing.name in read:
            wrong.append(SaidTwice(thing.words, f"looks.{name}"))
        elif found is None:
            wrong.append(UnknownWord(f"word for {thing.words}", typed_text(word), thing.best_first, f"looks.{name}"))
        else:
            read[thing.name] = found
    return read, wrong


def judge(card: ClassCard, found: Found) -> CardResult:
    """Hold what was found against a card: each part is good enough, falls short, or was not looked at."""
    parts = [*_looks(card, found), *_colour(card, found), *_weight(card, found), *_screens(card, found)]
    short = tuple(part.says for part in parts if part.is_enough is False)
    met = tuple(part.says for part in parts if part.is_enough)
    left = tuple(part.says for part in parts if part.is_enough is None)
    return CardResult(card, short, met, left, tuple(part.step for part in parts if part.step))


@dataclass(frozen=True, slots=True)
class _Part:
    is_enough: bool | None
    says: str
    step: Step | None = None


def _looks(card: ClassCard, found: Found) -> list[_Part]:
    parts = []
    for each in card.looked_at:
        word = found.words.get(each.name)
        if word is None:
            parts.append(_Part(None, each.words))
            continue
        step = Step(
            each.words, f"{word}, of {' > '.join(each.best_first)}; enough: {each.enough}", source=_source(card)
        )
        says = f"{each.words.capitalize()} is {word}; wanted is {each.wanted}."
        parts.append(_Part(each.is_enough(word), says, step))
    return parts


def _colour(card: ClassCard, found: Found) -> list[_Part]:
    if card.colour is None:
        return []
    if found.colour_away is None:
        return [_Part(None, "colour, read like the card's")]
    away, within = found.colour_away, card.colour.within
    way = f": {found.colour_ways}" if found.colour_ways else ""
    says = f"Colour is {away} by CIEDE2000 from the card's, {within} is near enough{way}."
    step = Step("colour", f"{away} <= {within}", source=f"{_source(card)}: {card.colour.source}")
    return [_Part(away <= within, says, step)]


def _weight(card: ClassCard, found: Found) -> list[_Part]:
    wanted, grams = card.hundred_seeds_g, found.hundred_seeds_g
    if wanted is None:
        return []
    if grams is None:
        return [_Part(None, "weight of a hundred seeds")]
    says = f"A hundred seeds weigh {grams} g; wanted is {wanted.least} to {wanted.most} g."
    formula = f"{wanted.least} g <= {grams} g <= {wanted.most} g"
    step = Step("weight of a hundred seeds", formula, source=f"{_source(card)}: {wanted.source}")
    return [_Part(wanted.least <= grams <= wanted.most, says, step)]


def _screens(card: ClassCard, found: Found) -> list[_Part]:
    wanted, held = card.screens, found.held_pct
    if wanted is None:
        return []
    names = listed(list(wanted.held_on), "and")
    if held is None:
        return [_Part(None, f"what screens {names} hold")]
    says = f"Screens {names} hold {held} %; wanted is {wanted.least_pct} % or more."
    step = Step("size", f"{held} % >= {wanted.least_pct} %", source=f"{_source(card)}: {wanted.source}")
    return [_Part(held >= wanted.least_pct, says, step)]


def _source(card: ClassCard) -> str:
    return f"card {card.says}"


def _folded(word: object) -> str:
    return plain(typed_text(word)).replace("_", " ").replace("-", " ").casefold()


def screens_held(card: ClassCard, curve: Sequence[tuple[str, Decimal]]) -> Decimal | None:
    """Add up what the card's screens held in a size curve [% by weight]; None where the curve lacks one of them."""
    shares = {_folded(screen): pct for screen, pct in curve}
    if card.screens is None or any(_folded(screen) not in shares for screen in card.screens.held_on):
        return None
    return sum((shares[_folded(screen)] for screen in card.screens.held_on), Decimal(0))
