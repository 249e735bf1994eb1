"""Colours by three numbers: what they were read under, their chroma and hue, and the mean of several readings."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

CIELAB, HUNTER = SCALES = ("CIELAB", "Hunter Lab")
GREY = 0.005  # chroma that reads 0.00 at two decimals has no hue to speak of; ours, no source
CIE15 = "CIE 15:2018, Colorimetry, 8.2.1 (from memory)"


@dataclass(frozen=True, slots=True)
class Lab:
    """A colour.

    Attributes:
        lightness: L*, 0 black to 100 white [1].
        a: a*, green to red [1].
        b: b*, blue to yellow [1].
    """

    lightness: float
    a: float
    b: float

    @property
    def chroma(self) -> float:
        """How far it is from grey, C*ab [1]: CIE 15:2018, 8.2.1 (from memory)."""
        return math.hypot(self.a, self.b)

    @property
    def hue(self) -> float | None:
        """Its hue angle h_ab, 0 to under 360 [degrees]; None for a grey, which has none."""
        return None if self.chroma < GREY else math.degrees(math.atan2(self.b, self.a)) % 360

    @property
    def says(self) -> str:
        """The colour in words: "L* 70.1, a* 2.4, b* 13.2"."""
        return f"L* {self.lightness:.2f}, a* {self.a:.2f}, b* {self.b:.2f}"


@dataclass(frozen=True, slots=True)
class Conditions:
    """What a colour was read under; numbers read under other conditions are other numbers.

    Attributes:
        illuminant: "A", "C", "D50" …
        observer: "2" or "10" [degrees].
        scale: CIELAB, or Hunter Lab, which is another scale of the same letters.
    """

    illuminant: str
    observer: str
    scale: str = CIELAB

    @property
    def says(self) -> str:
        """The conditions in words: "CIELAB, D65, 10° observer"."""
        return f"{self.scale}, {self.illuminant}, {self.observer}° observer"


@dataclass(frozen=True, slots=True)
class MeanColour:
    """The mean of several readings.

    Attributes:
        estimate: mean of each component.
        spread: standard deviation of each component; None of a single reading.
        apart: mean distance of the readings from their mean, by CIE76 [1]; None of a single reading.
        n: how many readings.
        method: how it was worked out.
    """

    estimate: Lab
    spread: Lab | None
    apart: float | None
    n: int
    method: str = "mean of each of the three components; the hue is of the mean, never a mean of hues"


def mean_colour(readings: Sequence[Lab]) -> MeanColour:
    """Give the mean of readings by components.

    Args:
        readings: one or more, all read under the same conditions.

    Raises:
        ValueError: there is none.

    Source:
        By components, because angles have no mean: 359° and 1° would make 180°. ASTM E1345 (from memory) averages
        components too, and takes the mean distance from the mean as the spread of all three at once.
    """
    if not readings:
        raise ValueError("a mean needs a reading")
    n = len(readings)
    axes = [[each.lightness for each in readings], [each.a for each in readings], [each.b for each in readings]]
    mean = Lab(*(math.fsum(axis) / n for axis in axes))
    if n == 1:
        return MeanColour(mean, None, None, 1)
    means = (mean.lightness, mean.a, mean.b)
    spread = Lab(*(_deviation(axis, middle) for axis, middle in zip(axes, means, strict=True)))
    apart = math.fsum(math.dist((each.lightness, each.a, each.b), means) for each in readings) / n
    return MeanColour(mean, spread, apart, n)


def _deviation(values: Sequence[float], mean: float) -> float:
    return math.sqrt(math.fsum((value - mean) ** 2 for value in values) / (len(values) - 1))
