"""How far two colours are apart, by three formulas; each takes CIELAB read under one illuminant and observer."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from grading.stats.colour import Lab

SHARMA = "Sharma, Wu & Dalal, The CIEDE2000 color-difference formula, Color Res. Appl. 30(1), 2005, eq. 2-22"
CIE94 = "CIE 116:1995, Industrial colour-difference evaluation (from memory)"
CIE76 = "CIE 15:2018, Colorimetry, 8.2.1 (from memory)"
_25_TO_7 = 25.0**7


@dataclass(frozen=True, slots=True)
class Weights:
    """The weights of CIE94: k_L for lightness [1], K1 of chroma and K2 of hue [1]."""

    k_l: float
    k_1: float
    k_2: float


# CIE 116:1995 (from memory): the first for what is looked at in general, the second for cloth.
WEIGHTS: Mapping[str, Weights] = {
    "graphic arts": Weights(1, 0.045, 0.015),
    "textiles": Weights(2, 0.048, 0.014),
}
GRAPHIC_ARTS = WEIGHTS["graphic arts"]


def cie76(one: Lab, other: Lab) -> float:
    """Give the plain distance of two colours [1].

    Source: CIE 15:2018, Colorimetry, 8.2.1 (from memory).
    """
    return math.dist((one.lightness, one.a, one.b), (other.lightness, other.a, other.b))


def cie94(reference: Lab, sample: Lab, weights: Weights = GRAPHIC_ARTS) -> float:
    """Give the distance of a sample from a reference by CIE94 [1].

    Args:
        reference: whose chroma weighs the parts; swapping the two gives another number.
        sample: the other colour.
        weights: of `WEIGHTS`.

    Source: CIE 116:1995, Industrial colour-difference evaluation (from memory).
    """
    d_l, d_c = reference.lightness - sample.lightness, reference.chroma - sample.chroma
    d_a, d_b = reference.a - sample.a, reference.b - sample.b
    d_h_squared = max(0.0, d_a**2 + d_b**2 - d_c**2)  # rounding can leave a hair under nought
    s_c, s_h = 1 + weights.k_1 * reference.chroma, 1 + weights.k_2 * reference.chroma
    return math.sqrt((d_l / weights.k_l) ** 2 + (d_c / s_c) ** 2 + d_h_squared / s_h**2)


@dataclass(frozen=True, slots=True)
class Ciede2000:
    """A CIEDE2000 distance with what it was made of, named as in its source.

    Attributes:
        estimate: the distance [1].
        g: what stretches a* of greys [1].
        a_1, a_2: a' of the two colours [1].
        c_1, c_2: C' of the two [1].
        h_1, h_2: h' of the two [degrees]; 0 where C' is 0.
        d_l, d_c, d_h: ΔL', ΔC', ΔH' [1].
        h_mean: mean hue [degrees].
        t: hue weight [1].
        s_l, s_c, s_h: weights of the parts [1].
        r_t: rotation in the blue [1].
    """

    estimate: float
    g: float
    a_1: float
    a_2: float
    c_1: float
    c_2: float
    h_1: float
    h_2: float
    d_l: float
    d_c: float
    d_h: float
    h_mean: float
    t: float
    s_l: float
    s_c: float
    s_h: float
    r_t: float
    method: str = "CIEDE2000, k_L = k_C = k_H = 1"


def ciede2000(one: Lab, other: Lab) -> Ciede2000:
    """Give the distance of two colours by CIEDE2000; swapping the two gives the same.

    Source: Sharma, Wu & Dalal, Color Res. Appl. 30(1), 2005, 21-30, eq. 2-22, with its notes on hue: h' is 0 where both
        a' and b are 0; the mean hue of two colours across 0° goes the short way; where one has no chroma it is the sum.
    """
    g = 0.5 * (1 - _part_of_25((one.chroma + other.chroma) / 2))
    a_1, a_2 = (1 + g) * one.a, (1 + g) * other.a
    c_1, c_2 = math.hypot(a_1, one.b), math.hypot(a_2, other.b)
    h_1, h_2 = _hue(a_1, one.b), _hue(a_2, other.b)
    d_l, d_c = other.lightness - one.lightness, c_2 - c_1
    d_h = 2 * math.sqrt(c_1 * c_2) * math.sin(math.radians(_turn(h_1, h_2, c_1 * c_2) / 2))
    l_mean, c_mean = (one.lightness + other.lightness) / 2, (c_1 + c_2) / 2
    h_mean = _mean_hue(h_1, h_2, c_1 * c_2)
    t = _hue_weight(h_mean)
    s_l = 1 + 0.015 * (l_mean - 50) ** 2 / math.sqrt(20 + (l_mean - 50) ** 2)
    s_c, s_h = 1 + 0.045 * c_mean, 1 + 0.015 * c_mean * t
    r_t = _rotation(h_mean, c_mean)
    parts = d_l / s_l, d_c / s_c, d_h / s_h
    squared = math.fsum((*(part**2 for part in parts), r_t * parts[1] * parts[2]))
    estimate = math.sqrt(max(0.0, squared))
    return Ciede2000(estimate, g, a_1, a_2, c_1, c_2, h_1, h_2, d_l, d_c, d_h, h_mean, t, s_l, s_c, s_h, r_t)


def _part_of_25(chroma: float) -> float:
    return math.sqrt(chroma**7 / (chroma**7 + _25_TO_7))


def _hue(a: float, b: float) -> float:
    """Eq. 7; a library's atan2(0, -0.0) would say 180° of a grey."""
    return 0.0 if a == 0 and b == 0 else math.degrees(math.atan2(b, a)) % 360


def _turn(h_1: float, h_2: float, chromas: float) -> float:
    """Eq. 10: from the first hue to the second the short way [degrees]."""
    turn = h_2 - h_1
    if chromas == 0:
        return 0.0
    if abs(turn) <= 180:
        return turn
    return turn - 360 if turn > 180 else turn + 360


def _mean_hue(h_1: float, h_2: float, chromas: float) -> float:
    """Eq. 14."""
    total = h_1 + h_2
    if chromas == 0:
        return total
    if abs(h_1 - h_2) <= 180:
        return total / 2
    return (total + 360) / 2 if total < 360 else (total - 360) / 2


def _hue_weight(h_mean: float) -> float:
    """Eq. 15."""
    return 1 + math.fsum(
        (
            -0.17 * math.cos(math.radians(h_mean - 30)),
            0.24 * math.cos(math.radians(2 * h_mean)),
            0.32 * math.cos(math.radians(3 * h_mean + 6)),
            -0.20 * math.cos(math.radians(4 * h_mean - 63)),
        )
    )


def _rotation(h_mean: float, c_mean: float) -> float:
    """Eq. 16, 17 and 21."""
    turned = 30 * math.exp(-(((h_mean - 275) / 25) ** 2))
    return -math.sin(math.radians(2 * turned)) * 2 * _part_of_25(c_mean)
