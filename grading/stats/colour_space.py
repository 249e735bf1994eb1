"""From CIELAB to XYZ and back, and on to the colour that a screen can show."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from grading.stats.colour import Lab

Triple = tuple[float, float, float]
Matrix = tuple[Triple, Triple, Triple]

E308 = "ASTM E308-01, Computing the colors of objects by using the CIE system, Table 5 (as reprinted)"
IEC = "IEC 61966-2-1:1999, sRGB, 5.2 (its matrix of four decimals, as reprinted)"
BRADFORD_SOURCE = "Lam, Metamerism and colour constancy, Bradford 1985 (matrix as reprinted, from memory)"

# White points X, Y, Z of illuminants by observer [degrees]: ASTM E308-01, Table 5, as reprinted in open software; they
# agree with CIE 15:2018 (read there to two decimals) within 0.03.
WHITES: Mapping[tuple[str, str], Triple] = {
    ("A", "2"): (109.850, 100.0, 35.585),
    ("A", "10"): (111.144, 100.0, 35.200),
    ("C", "2"): (98.074, 100.0, 118.232),
    ("C", "10"): (97.285, 100.0, 116.145),
    ("D50", "2"): (96.422, 100.0, 82.521),
    ("D50", "10"): (96.720, 100.0, 81.427),
    ("D55", "2"): (95.682, 100.0, 92.149),
    ("D55", "10"): (95.799, 100.0, 90.926),
    ("D65", "2"): (95.047, 100.0, 108.883),
    ("D65", "10"): (94.811, 100.0, 107.304),
    ("D75", "2"): (94.972, 100.0, 122.638),
    ("D75", "10"): (94.416, 100.0, 120.641),
}
ILLUMINANTS = tuple(dict.fromkeys(illuminant for illuminant, _observer in WHITES))
OBSERVERS = ("2", "10")
SCREEN_WHITE = WHITES["D65", "2"]

# CIE 15:2018, 8.2.1: the exact fractions, not the rounded 0.008856 and 903.3 of older editions.
_KNEE, _SLOPE = 6 / 29, 3 * (6 / 29) ** 2

BRADFORD: Matrix = ((0.8951, 0.2664, -0.1614), (-0.7502, 1.7135, 0.0367), (0.0389, -0.0685, 1.0296))
XYZ_TO_SCREEN: Matrix = ((3.2406, -1.5372, -0.4986), (-0.9689, 1.8758, 0.0415), (0.0557, -0.2040, 1.0570))
_HALF_A_STEP = 0.5 / 255


def xyz_of(colour: Lab, white: Triple) -> Triple:
    """Give the X, Y, Z of a CIELAB colour, on the scale of its white.

    Args:
        colour: L*, a*, b*.
        white: X, Y, Z of the white that it was read under, of `WHITES`.

    Source: CIE 15:2018, Colorimetry, 8.2.1 (from memory).
    """
    y = (colour.lightness + 16) / 116
    roots = (y + colour.a / 500, y, y - colour.b / 200)
    x_part, y_part, z_part = (root**3 if root > _KNEE else _SLOPE * (root - 4 / 29) for root in roots)
    return white[0] * x_part, white[1] * y_part, white[2] * z_part


def lab_of(xyz: Triple, white: Triple) -> Lab:
    """Give the CIELAB of X, Y, Z under a white on the same scale.

    Source: CIE 15:2018, Colorimetry, 8.2.1 (from memory).
    """
    parts = [value / of for value, of in zip(xyz, white, strict=True)]
    x, y, z = (math.cbrt(part) if part > _KNEE**3 else part / _SLOPE + 4 / 29 for part in parts)
    return Lab(116 * y - 16, 500 * (x - y), 200 * (y - z))


def adapted(xyz: Triple, white: Triple, to: Triple) -> Triple:
    """Say which X, Y, Z looks under one white as this one does under another.

    Source: the Bradford transform in its linear form; Lam 1985 (matrix as reprinted, from memory).
    """
    if white == to:
        return xyz
    cones = _times(BRADFORD, xyz)
    scales = [new / old for new, old in zip(_times(BRADFORD, to), _times(BRADFORD, white), strict=True)]
    first, second, third = (cone * scale for cone, scale in zip(cones, scales, strict=True))
    return _times(_inverse(BRADFORD), (first, second, third))


@dataclass(frozen=True, slots=True)
class Swatch:
    """A colour as a screen shows it.

    Attributes:
        code: "#b09070".
        wanted: red, green and blue before they were clipped, 0 to 1 where a screen can show them [1].
        clipped: how far the worst of the three lay outside 0 to 1 [1]; 0 inside.
        adapted_from: it was brought from another white to the screen's.
    """

    code: str
    wanted: Triple
    clipped: float
    adapted_from: bool

    @property
    def is_in_gamut(self) -> bool:
        """A screen can show it, to half a step of 255."""
        return self.clipped <= _HALF_A_STEP


def swatch(colour: Lab, illuminant: str, observer: str) -> Swatch:
    """Give the colour that a screen shows for a CIELAB colour.

    Args:
        colour: L*, a*, b*.
        illuminant, observer: what it was read under, of `WHITES`; another white than the screen's D65 and 2° is brought
            to it by Bradford. For the 10° observer that takes one observer's colour for the other's: ours, no source.

    Raises:
        KeyError: an illuminant or observer without a known white.

    Source: IEC 61966-2-1:1999, sRGB, 5.2, its matrix of four decimals and its curve.
    """
    white = WHITES[illuminant, observer]
    xyz = adapted(xyz_of(colour, white), white, SCREEN_WHITE)
    x, y, z = (value / 100 for value in xyz)
    red, green, blue = (_curve(part) for part in _times(XYZ_TO_SCREEN, (x, y, z)))
    wanted = (red, green, blue)
    shown = [min(1.0, max(0.0, part)) for part in wanted]
    clipped = max(abs(want - show) for want, show in zip(wanted, shown, strict=True))
    code = "#" + "".join(f"{math.floor(part * 255 + 0.5):02x}" for part in shown)
    return Swatch(code, wanted, clipped, white != SCREEN_WHITE)


def colour_of(code: str) -> Lab:
    """Give the CIELAB (D65, 2°) of a screen colour such as "#b09070"."""
    parts = [int(code[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    red, green, blue = (_uncurved(part) for part in parts)
    x, y, z = _times(_inverse(XYZ_TO_SCREEN), (red, green, blue))
    return lab_of((x * 100, y * 100, z * 100), SCREEN_WHITE)


def _curve(part: float) -> float:
    """Encode; what lies under nought is mirrored, so that it can be said how far it lies out."""
    size = abs(part)
    encoded = 12.92 * size if size <= 0.0031308 else 1.055 * size ** (1 / 2.4) - 0.055
    return math.copysign(encoded, part)


def _uncurved(part: float) -> float:
    return part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4


def _times(matrix: Matrix, vector: Triple) -> Triple:
    first, second, third = (math.fsum(a * b for a, b in zip(row, vector, strict=True)) for row in matrix)
    return first, second, third


def _inverse(matrix: Matrix) -> Matrix:
    """Invert by cofactors."""
    (a, b, c), (d, e, f), (g, h, i) = matrix
    of = a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g)
    return (
        ((e * i - f * h) / of, (c * h - b * i) / of, (b * f - c * e) / of),
        ((f * g - d * i) / of, (a * i - c * g) / of, (c * d - a * f) / of),
        ((d * h - e * g) / of, (b * g - a * h) / of, (a * e - b * d) / of),
    )
