"""A colour against several earlier ones, and a difference of colours in words."""

from collections.abc import Sequence
from dataclasses import dataclass

from grading.stats.colour import Lab, MeanColour, mean_colour
from grading.stats.colour_difference import SHARMA, ciede2000

FEWEST = 3  # lots before a past can be said to spread; ours, no source
# Up to this distance by CIEDE2000 an eye in good light sees that much: common practice, no source.
SEEN = (
    (1.0, "no difference that an eye would see"),
    (2.0, "a difference seen by looking closely"),
    (3.5, "a difference seen side by side"),
    (5.0, "a difference seen at once"),
)
BEYOND = "a difference seen from afar"
WORDS_SOURCE = "steps of 1, 2, 3.5 and 5 by CIEDE2000: common practice, no source"
NOTICED = 0.5  # a component that differs by less is not said; ours, no source
_WAYS = (("lightness", "lighter", "darker"), ("a", "redder", "greener"), ("b", "yellower", "bluer"))


def seen_as(distance: float) -> str:
    """Say what an eye sees of a distance by CIEDE2000 [1]."""
    return next((words for most, words in SEEN if distance < most), BEYOND)


def ways(reference: Lab, sample: Lab) -> str:
    """Say how a sample differs from a reference: "darker by 2.1, redder by 1.2"; "" where it hardly does."""
    said = []
    for name, more, less in _WAYS:
        step = getattr(sample, name) - getattr(reference, name)
        if abs(step) >= NOTICED:
            said.append(f"{more if step > 0 else less} by {abs(step):.1f}")
    return ", ".join(said)


def difference_words(reference: Lab, sample: Lab) -> str:
    """Say a difference: "3.2 by CIEDE2000, a difference seen side by side: darker by 2.1"."""
    distance = ciede2000(reference, sample).estimate
    way = ways(reference, sample)
    return f"{distance:.1f} by CIEDE2000, {seen_as(distance)}{f': {way}' if way else ''}"


@dataclass(frozen=True, slots=True)
class AgainstPast:
    """A colour against earlier ones.

    Attributes:
        estimate: its distance from their mean, by CIEDE2000 [1].
        past: their mean, with its spread.
        furthest: distance of the earlier one that lies furthest from their mean [1]; None where they are too few.
        n: how many earlier ones.
        method: how it was worked out.
        source: of the distance.
    """

    estimate: float
    past: MeanColour
    furthest: float | None
    n: int
    method: str = "distance from the mean by components, CIEDE2000"
    source: str = SHARMA

    @property
    def is_further_than_all(self) -> bool | None:
        """It lies further from their mean than any of them; None where they are too few to say."""
        return None if self.furthest is None else self.estimate > self.furthest


def against_past(colour: Lab, past: Sequence[Lab]) -> AgainstPast:
    """Compare a colour with earlier ones, all read alike.

    Args:
        colour: the one looked at.
        past: one or more others; fewer than three are too few to say what is usual.

    Raises:
        ValueError: there is no other.
    """
    mean = mean_colour(past)
    furthest = max(ciede2000(mean.estimate, each).estimate for each in past) if len(past) >= FEWEST else None
    return AgainstPast(ciede2000(mean.estimate, colour).estimate, mean, furthest, len(past))
