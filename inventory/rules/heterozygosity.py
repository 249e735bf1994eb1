"""Generations of selfing and the heterozygosity they are expected to leave."""

import re
from fractions import Fraction

from inventory.rules.mistakes import Mistake, Note
from inventory.rules.reading import ReadAs, ReadCode, plain, quoted, typed_text

LAST_GENERATION = 40  # a line is fixed long before; a higher number is a slip


class NotAGeneration(Mistake):
    """What was typed is no filial generation."""

    code = "not_a_generation"

    def __init__(self, typed: str, *, field: str = "generation") -> None:
        super().__init__(
            f"{quoted(typed)} is not a generation. Write F and its number, F1 to F{LAST_GENERATION}: F8.", field=field
        )


def generation_label(generation: int) -> str:
    """Write a generation as breeders do: 8 -> "F8"."""
    return f"F{generation}"


def read_generation(typed: object, *, field: str = "generation") -> ReadCode[int]:
    """Read a generation: "F8", "f 8", "F-8" and 8 are all the eighth.

    Raises:
        NotAGeneration: another shape, or outside F1 to F40.
    """
    text = typed_text(typed)
    match = re.fullmatch(r"(?:[Ff][ _.-]?)?([0-9]{1,2})", plain(text))
    if not match or not 1 <= int(match[1]) <= LAST_GENERATION:
        raise NotAGeneration(text, field=field)
    generation = int(match[1])
    label = generation_label(generation)
    notes: tuple[Note, ...] = () if text in (label, str(generation)) else (ReadAs(text, label, field=field),)
    return ReadCode(generation, text, notes)


def selfings(generation: int) -> int:
    """Count the selfings since the F1: every sown-and-harvested self generation is one.

    Raises:
        ValueError: below F1.
    """
    if generation < 1:
        raise ValueError(f"There is no generation F{generation}.")
    return generation - 1


def heterozygosity(generation: int) -> Fraction:
    """Work out the part of the F1's heterozygosity that is expected to be left: (1/2)^n after n selfings [1]."""
    return Fraction(1, 2 ** selfings(generation))


def inbreeding(generation: int) -> Fraction:
    """Work out the inbreeding coefficient that goes with it: F = 1 - (1/2)^n [1]."""
    return 1 - heterozygosity(generation)


def homozygous_at_all(generation: int, loci: int) -> Fraction:
    """Work out the chance that one plant is homozygous at all of k independent loci: (1 - (1/2)^n)^k [1].

    Args:
        generation: 1 for the F1.
        loci: loci at which the parents differ, 0 or more.
    """
    return inbreeding(generation) ** loci
