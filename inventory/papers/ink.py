"""Letters and codes on a page: sizes in millimetres, text that never leaves its box, bars that a reader can read."""

import unicodedata
from dataclasses import dataclass
from functools import cache

import segno
from reportlab.graphics.barcode.code128 import Code128
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

PLAIN, BOLD = "Vera", "VeraBd"  # come with the PDF library and are embedded, so that every printer has them
# Three dots of a 203 dpi label printer: whole dots keep every bar as wide as it was meant, and over the 0.33 mm that
# hand readers in a store ask for (common practice, no source).
BAR_MM = 3 * 25.4 / 203
QUIET_BARS = 10  # ISO/IEC 15417:2007, 4.4.2: ten modules on either side
QR_QUIET = 4  # ISO/IEC 18004:2015, 9.1: four modules around
POINTS = (11.0, 10.0, 9.0, 8.0, 7.0, 6.5, 6.0, 5.5)  # sizes that text is tried in; smaller ones nobody reads
# Capital letters and digits of the bold face by its size: 0.729, from its tables.
CAP_HEIGHT = 0.729
LINE_HEIGHT = 1.22
_DRAWN_AS = {"→": ">", "←": "<", "−": "–", "✓": "+", "✕": "x", "◐": "!", "▬": "!", "☂": "!", "\u202f": "\u00a0"}


@dataclass(frozen=True)
class Box:
    """A rectangle on the page, from its lower left corner [mm]."""

    x: float
    y: float
    width: float
    height: float

    def holds(self, other: "Box") -> bool:
        """Say whether another box lies within, to a hundredth of a millimetre."""
        slack = 0.01
        across = self.x - slack <= other.x and other.x + other.width <= self.x + self.width + slack
        return across and self.y - slack <= other.y and other.y + other.height <= self.y + self.height + slack


@cache
def _glyphs() -> frozenset[int]:
    for name, file in ((PLAIN, "Vera.ttf"), (BOLD, "VeraBd.ttf"), ("VeraIt", "VeraIt.ttf"), ("VeraBI", "VeraBI.ttf")):
        pdfmetrics.registerFont(TTFont(name, file))
    pdfmetrics.registerFontFamily(PLAIN, normal=PLAIN, bold=BOLD, italic="VeraIt", boldItalic="VeraBI")
    return frozenset(pdfmetrics.getFont(PLAIN).face.charToGlyph)


def printable(text: str) -> str:
    """Write text in signs that the faces have: a sign without one loses its accent, or becomes a question mark."""
    return "".join(_printable(sign) for sign in " ".join(text.split(" ")))


def _printable(sign: str) -> str:
    sign = _DRAWN_AS.get(sign, sign)
    if ord(sign) in _glyphs():
        return sign
    bare = "".join(one for one in unicodedata.normalize("NFKD", sign) if ord(one) in _glyphs())
    return bare or ("" if unicodedata.category(sign) in ("Mn", "Cf", "Cc") else "?")


def width_of(text: str, points: float, face: str = PLAIN) -> float:
    """Measure printable text [mm]."""
    _glyphs()
    return float(pdfmetrics.stringWidth(text, face, points) / mm)


def write_line(canvas: Canvas, text: str, box: Box, *, face: str = PLAIN, points: float = POINTS[0]) -> Box:
    """Write one line at the foot of a box, in the largest size that fits; what still does not fit is cut with "…".

    Returns:
        The box that the letters fill [mm].
    """
    text = printable(text)
    size = next((one for one in POINTS if one <= points and width_of(text, one, face) <= box.width), POINTS[-1])
    while text and width_of(text, size, face) > box.width:
        text = f"{text[:-2].rstrip()}…" if len(text) > 2 else ""
    canvas.setFont(face, size)
    canvas.drawString(box.x * mm, box.y * mm, text)
    return Box(box.x, box.y, width_of(text, size, face), size / mm * CAP_HEIGHT)


def write_high(canvas: Canvas, text: str, box: Box) -> Box:
    """Write a number as high as its box, in bold; squeezed sideways where it would be wider.

    Returns:
        The box that the digits fill [mm].
    """
    text = printable(text)
    points = box.height / CAP_HEIGHT * mm
    wide = width_of(text, points, BOLD)
    squeeze = min(1.0, box.width / wide)
    canvas.saveState()  # a squeeze would go on to all that is written after it
    line = canvas.beginText(box.x * mm, box.y * mm)
    line.setFont(BOLD, points)
    line.setHorizScale(100 * squeeze)
    line.textOut(text)
    canvas.drawText(line)
    canvas.restoreState()
    return Box(box.x, box.y, wide * squeeze, box.height)


def wrapped(text: str, width: float, points: float, face: str = PLAIN) -> list[str]:
    """Break text into lines no wider than so many millimetres; a word too long for a line is broken too."""
    lines, line = [], ""
    for word in printable(text).split():
        longer = f"{line} {word}".strip()
        if width_of(longer, points, face) <= width:
            line = longer
            continue
        lines.extend([line] if line else [])
        line = word
        while width_of(line, points, face) > width:
            cut = next(n for n in range(len(line), 0, -1) if width_of(line[:n], points, face) <= width or n == 1)
            lines.append(line[:cut])
            line = line[cut:]
    return [*lines, line] if line else lines


def write_block(canvas: Canvas, text: str, box: Box, *, face: str = PLAIN, points: float = POINTS[0]) -> bool:
    """Write text into a box from its top, in the largest size in which all of it fits.

    Returns:
        False where it fits in none, and nothing was written.
    """
    for size in (one for one in POINTS if one <= points):
        lines = wrapped(text, box.width, size, face)
        step = size * LINE_HEIGHT
        if len(lines) * step / mm <= box.height:
            canvas.setFont(face, size)
            for number, line in enumerate(lines):
                canvas.drawString(box.x * mm, (box.y + box.height) * mm - size * 0.95 - number * step, line)
            return True
    return False


def bar_code(digits: str, height: float) -> Code128:
    """Make a Code 128 of digits, without quiet zones [height in mm]: digits go in pairs, a check character is added."""
    return Code128(digits, barWidth=BAR_MM * mm, barHeight=height * mm, quiet=0)


def bars_width(digits: str) -> float:
    """Measure a Code 128 with its quiet zones [mm]."""
    return float(bar_code(digits, 1).width / mm) + 2 * QUIET_BARS * BAR_MM


def draw_bars(canvas: Canvas, digits: str, x: float, y: float, height: float, *, upright: bool = False) -> Box:
    """Draw a Code 128 with its quiet zones from a lower left corner [mm]; upright, it is read from below.

    Returns:
        The box of bars and quiet zones [mm].
    """
    long, quiet = bars_width(digits), QUIET_BARS * BAR_MM
    canvas.saveState()
    if upright:
        canvas.translate((x + height) * mm, (y + quiet) * mm)
        canvas.rotate(90)
    else:
        canvas.translate((x + quiet) * mm, y * mm)
    bar_code(digits, height).drawOn(canvas, 0, 0)
    canvas.restoreState()
    return Box(x, y, height, long) if upright else Box(x, y, long, height)


def draw_qr(canvas: Canvas, text: str, x: float, y: float, size: float) -> Box:
    """Draw a QR code of level Q, its dark part `size` wide, in a frame of four quiet modules around [mm].

    Returns:
        The box with its quiet frame [mm].
    """
    matrix = segno.make(text, error="q", micro=False, boost_error=False).matrix
    module = size / len(matrix)
    for row, modules in enumerate(matrix):
        for start, length in _runs(modules):
            top = y + size - (row + 1) * module
            canvas.rect((x + start * module) * mm, top * mm, length * module * mm, module * mm, stroke=0, fill=1)
    quiet = QR_QUIET * module
    return Box(x - quiet, y - quiet, size + 2 * quiet, size + 2 * quiet)


def _runs(modules: bytearray) -> list[tuple[int, int]]:
    """Join dark modules that touch, so that no hairline of white stands between them: start and length."""
    runs: list[tuple[int, int]] = []
    for place, dark in enumerate(modules):
        if not dark:
            continue
        if runs and sum(runs[-1]) == place:
            runs[-1] = (runs[-1][0], runs[-1][1] + 1)
        else:
            runs.append((place, 1))
    return runs
