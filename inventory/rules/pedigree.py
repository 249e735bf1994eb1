"""Pedigrees in Purdy's notation: read and written, female left.

`/` is the first cross, `//` or `/2/` the second, `/3/` the third: the highest number is the cross made last. `A*2/B`
has two doses of A, which is A//A/B; `B/2*A` is the same with B as the female of the first cross. A star belongs to the
one name it is written at and counts for the cross beside that name.

Source: Purdy, Loegering, Konzak, Peterson & Allan (1968), A proposed standard method for illustrating pedigrees of
small grain varieties, Crop Sci. 8:405-406 (from memory; rules and examples as retold on public pages about cultivar
pedigrees).
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import TypeAlias

from inventory.rules.mistakes import Mistake
from inventory.rules.reading import plain, quoted

SLASHES = re.compile(r"/([0-9]{1,2})/|(/+)")
DOSED_BEHIND = re.compile(r"([^*]*[^*\s])\s*\*\s*(\d+)")
DOSED_BEFORE = re.compile(r"(\d+)\s*\*\s*([^*]*[^*\s])")
MOST_DOSES = 12
MOST_CROSSES = 30  # deeper than any breeder's notation; keeps a hostile text from exhausting the reader


class PedigreeUnclear(Mistake):
    """A pedigree that cannot be read in one way."""

    code = "pedigree_unclear"

    def __init__(self, typed: str, why: str, *, field: str = "pedigree") -> None:
        super().__init__(
            f"{quoted(typed)} cannot be read as a pedigree: {why}. Write the female first and number the crosses in "
            "the order in which they were made: A/B//C.",
            field=field,
        )


@dataclass(frozen=True, slots=True)
class Cross:
    """A cross of two parents, each a name or a cross itself."""

    female: "Pedigree"
    male: "Pedigree"


Pedigree: TypeAlias = str | Cross


def parse_pedigree(text: str, *, field: str = "pedigree") -> Pedigree:
    """Read a pedigree; doses are written out as the crosses they stand for.

    Raises:
        PedigreeUnclear: a parent is missing, two crosses have the same rank, or doses are not what they can be.
    """
    typed = plain(text)
    slashes = [(*match.span(), _level(match)) for match in SLASHES.finditer(typed)]
    if len(slashes) > MOST_CROSSES:
        raise PedigreeUnclear(text, f"it has more than {MOST_CROSSES} crosses", field=field)
    try:
        return _parsed(typed, slashes, 0, len(typed))
    except _Unclear as unclear:
        raise PedigreeUnclear(text, str(unclear), field=field) from unclear


def render_pedigree(pedigree: Pedigree) -> str:
    """Write a pedigree with the fewest signs: doses where one name was used again and again, /3/ from the third on."""
    return _rendered(pedigree)[0]


def contributions(pedigree: Pedigree) -> dict[str, Fraction]:
    """Work out the expected part of each named parent: half of each side of every cross; the parts sum to 1."""
    if isinstance(pedigree, str):
        return {pedigree: Fraction(1)}
    parts: dict[str, Fraction] = {}
    for parent in (pedigree.female, pedigree.male):
        for name, part in contributions(parent).items():
            parts[name] = parts.get(name, Fraction(0)) + part / 2
    return parts


class _Unclear(Exception):  # noqa: N818 - carries a reason inward to `parse_pedigree`
    pass


def _level(match: re.Match[str]) -> int:
    return int(match[1]) if match[1] else len(match[2])


def _parsed(text: str, slashes: list[tuple[int, int, int]], start: int, end: int) -> Pedigree:
    if not slashes:
        return _name(text[start:end])
    last = max(level for _, _, level in slashes)
    places = [place for place, slash in enumerate(slashes) if slash[2] == last]
    if len(places) > 1:
        raise _Unclear(f"two crosses have the rank {last}, so it does not say which was made last")
    place = places[0]
    left, right = slashes[:place], slashes[place + 1 :]
    begin, stop, _ = slashes[place]
    before = None if left else _doses(text[start:begin])
    behind = None if right else _doses(text[stop:end])
    if before and behind:
        raise _Unclear("both parents have doses, and only one can be the recurrent parent")
    if before:
        return _repeated(before, _parsed(text, right, stop, end), recurrent_is_female=True)
    female = _parsed(text, left, start, begin)
    if behind:
        return _repeated(behind, female, recurrent_is_female=False)
    return Cross(female, _parsed(text, right, stop, end))


def _name(text: str) -> str:
    name = text.strip()
    if not name:
        raise _Unclear("a parent is missing")
    if "*" in name:
        raise _Unclear("the number of doses has to stand beside the slash of its cross")
    return name


def _doses(text: str) -> tuple[str, int] | None:
    """Read "A*3" and "3*A"; None where no doses are written."""
    if behind := DOSED_BEHIND.fullmatch(text.strip()):
        name, number = behind[1], behind[2]
    elif before := DOSED_BEFORE.fullmatch(text.strip()):
        name, number = before[2], before[1]
    else:
        return None
    if len(number) > 2 or not 2 <= int(number) <= MOST_DOSES:
        raise _Unclear(f"a recurrent parent has 2 to {MOST_DOSES} doses")
    return name.strip(), int(number)


def _repeated(doses: tuple[str, int], other: Pedigree, *, recurrent_is_female: bool) -> Pedigree:
    name, number = doses
    for _ in range(number):
        other = Cross(name, other) if recurrent_is_female else Cross(other, name)
    return other


def _rendered(pedigree: Pedigree) -> tuple[str, int]:
    """Write a pedigree and say the rank of its last cross."""
    if isinstance(pedigree, str):
        # A name of one or two digits stands between blanks, or A/24//B would hold a cross of rank 24.
        return (f" {pedigree} " if re.fullmatch("[0-9]{1,2}", pedigree) else pedigree), 0
    for name, side in _recurrent(pedigree):
        number, inner = _unrolled(pedigree, name, side)
        if number > 1:
            text, rank = _rendered(inner)
            slash = _slash(rank + 1)
            return (f"{name}*{number}{slash}{text}" if side == "female" else f"{text}{slash}{number}*{name}"), rank + 1
    (female, low), (male, high) = _rendered(pedigree.female), _rendered(pedigree.male)
    rank = max(low, high) + 1
    return f"{female}{_slash(rank)}{male}", rank


def _recurrent(cross: Cross) -> Iterator[tuple[str, str]]:
    """Offer each parent that doses can be written for, with its side; beside digits they could be the name."""
    for parent, side in ((cross.female, "female"), (cross.male, "male")):
        if isinstance(parent, str) and not parent.isdecimal():
            yield parent, side


def _unrolled(cross: Cross, name: str, side: str) -> tuple[int, Pedigree]:
    """Count how often a name was crossed on the same side, and give what it was first crossed with."""
    number = 0
    rest: Pedigree = cross
    while isinstance(rest, Cross) and getattr(rest, side) == name and number < MOST_DOSES:
        rest = rest.male if side == "female" else rest.female
        number += 1
    return number, rest


def _slash(rank: int) -> str:
    return "/" * rank if rank < 3 else f"/{rank}/"
