"""Counts of pathogens and off-types: the words they take, and what cannot be."""

from grading.rules.mistakes import OutOfRange
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import field_words

COUNTED = ("plants", "seedlings", "seeds")
GERMINATION = "germination"  # its limit is the least that will do
OFF_TYPES = "off-types"  # the name under which their limit stands
LONGEST_NAME = 80


def found_mistakes(found: int | None, tested: int | None, field: str) -> list[Mistake]:
    """Check that no more were found than looked at; a number that could not be read is passed over."""
    if found is None or tested is None or found <= tested:
        return []
    says = f"{field_words(field)} is {found} of {tested} looked at. Check both counts: it cannot be more."
    return [OutOfRange(says, field=field)]
