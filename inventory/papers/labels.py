"""Labels and tags, laid out to the millimetre: each a page of its own size."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import TypeAlias

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from inventory.papers.ink import BOLD, LINE_HEIGHT, PLAIN, Box, draw_bars, draw_qr, write_block, write_high, write_line

QR_MM = 22.0
NUMBER_MM = 10.0
_STRIP = 0.2  # width of thin lines [mm]


@dataclass(frozen=True)
class LotLabel:
    """What a lot's label says; every text is ready to be read.

    Args:
        digits: what the bars hold: 2400165.
        address: what the QR code holds: the station's own address, ending in the digits.
        lines: what it is, in order of weight: line, class, parent lot, net and day, moisture.
        warning: "treated, not for food or feed"; "" where it was not treated.
        caution: the sentences of the products' own labels.
        copy: "copy 2" from the second print on.
    """

    number: str
    digits: str
    address: str
    lines: tuple[str, ...]
    warning: str = ""
    caution: str = ""
    copy: str = ""
    caution_heading: str = ""


@dataclass(frozen=True)
class BagLabel:
    """What a bag's label says; see `LotLabel`.

    Args:
        bag: "bag 14 of 23".
        trial: "for trial use only", where it was set.
    """

    number: str
    bag: str
    digits: str
    address: str
    lines: tuple[str, ...]
    warning: str = ""
    caution: str = ""
    trial: str = ""
    copy: str = ""
    caution_heading: str = ""


@dataclass(frozen=True)
class SampleTag:
    """What a sample's tag says: its number and class and nothing that tells a grader whose it is."""

    number: str
    digits: str
    market_class: str
    stub: str
    copy: str = ""


@dataclass(frozen=True)
class ContainerTag:
    """What a container carries: its code, what it is, its tare and the day that was checked."""

    code: str
    digits: str
    address: str
    lines: tuple[str, ...]
    copy: str = ""


@dataclass(frozen=True)
class PlaceLabel:
    """What stands on a place: its code and name."""

    code: str
    digits: str
    address: str
    name: str
    copy: str = ""


@dataclass(frozen=True)
class EnvelopeLabel:
    """What a seed envelope for sowing carries: where it stands in planting order, plot, line, seed."""

    order: str
    plot: str
    digits: str
    lines: tuple[str, ...]


@dataclass(frozen=True)
class WallCard:
    """A card beside the scale or the bench: scanned, it does what it says."""

    words: str
    digits: str
    says: str


Label: TypeAlias = LotLabel | BagLabel | SampleTag | ContainerTag | PlaceLabel | EnvelopeLabel | WallCard
# Width and height [mm].
SIZES: dict[type[Label], tuple[float, float]] = {
    LotLabel: (100, 60),
    BagLabel: (100, 75),
    SampleTag: (60, 30),
    ContainerTag: (70, 70),
    PlaceLabel: (100, 60),
    EnvelopeLabel: (70, 40),
    WallCard: (210, 148),  # A5, ISO 216:2007
}


def labels_pdf(labels: Sequence[Label], title: str = "") -> bytes:
    """Draw labels, one a page in their order; a caution too long for its label follows on a page of its own.

    Args:
        title: of the document; no label shows it.
    """
    stream = BytesIO()
    canvas = Canvas(stream, invariant=True, pageCompression=1)
    canvas.setTitle(title)
    for label in labels:
        width, height = SIZES[type(label)]
        canvas.setPageSize((width * mm, height * mm))
        _DRAWN[type(label)](canvas, label)
        canvas.showPage()
        _caution_page(canvas, label)
    canvas.save()
    return stream.getvalue()


def _lot(canvas: Canvas, label: LotLabel) -> None:
    draw_bars(canvas, label.digits, 1.5, 49, 9)
    draw_bars(canvas, label.digits, 88, 6, 10, upright=True)
    write_high(canvas, label.number, Box(3, 36, 82, NUMBER_MM))
    _warn(canvas, label, Box(45, 48.5, 40, 10.5))
    _lines(canvas, label.lines, Box(3, 11, 53, 22))
    draw_qr(canvas, label.address, 61, 11.5, QR_MM)
    _strip(canvas, Box(3, 1.5, 82, 7))
    write_line(canvas, label.copy, Box(88, 1.5, 11, 4), points=6.0)


def _bag(canvas: Canvas, label: BagLabel) -> None:
    draw_bars(canvas, label.digits, 1.5, 64, 9)
    draw_bars(canvas, label.digits, 88, 10, 10, upright=True)
    write_high(canvas, label.number, Box(3, 51, 55, 8.5))
    write_line(canvas, label.bag, Box(60, 51, 27, 6), face=BOLD)
    write_line(canvas, label.trial, Box(3, 45.5, 84, 5), face=BOLD)
    _lines(canvas, label.lines, Box(3, 15, 53, 29))
    _warn(canvas, label, Box(3, 1.5, 84, 12))
    draw_qr(canvas, label.address, 61, 18, QR_MM)
    write_line(canvas, label.copy, Box(88, 1.5, 11, 4), points=6.0)


def _sample(canvas: Canvas, label: SampleTag) -> None:
    """Above the tear line the tag that goes with the portion, below it the stub that stays with the file sample."""
    write_high(canvas, label.number, Box(3, 23.5, 28, 5))
    write_line(canvas, label.market_class, Box(33, 24, 25, 4))
    draw_bars(canvas, label.digits, 1, 12.5, 9)
    _tear(canvas, 11, 60)
    write_line(canvas, label.number, Box(3, 7, 22, 3.5), face=BOLD)
    write_line(canvas, " · ".join(part for part in (label.stub, label.copy) if part), Box(27, 7, 31, 3.5), points=6.5)
    draw_bars(canvas, label.digits, 1, 1, 5)


def _container(canvas: Canvas, label: ContainerTag) -> None:
    write_high(canvas, label.code, Box(4, 56, 62, NUMBER_MM))
    _lines(canvas, label.lines, Box(4, 22, 33, 30))
    draw_qr(canvas, label.address, 42, 27, QR_MM)
    draw_bars(canvas, label.digits, (70 - 53) / 2, 6, 12)
    write_line(canvas, label.copy, Box(4, 1.5, 60, 4), points=6.0)


def _place(canvas: Canvas, label: PlaceLabel) -> None:
    write_high(canvas, label.code, Box(4, 38, 92, 18))
    write_block(canvas, label.name, Box(4, 23, 60, 11))
    draw_bars(canvas, label.digits, 2, 4, 14)
    draw_qr(canvas, label.address, 72, 7, QR_MM)
    write_line(canvas, label.copy, Box(4, 0.8, 60, 3), points=6.0)


def _envelope(canvas: Canvas, label: EnvelopeLabel) -> None:
    write_high(canvas, label.plot, Box(3, 31, 48, 6))
    write_line(canvas, label.order, Box(54, 31, 14, 6), face=BOLD)
    _lines(canvas, label.lines, Box(3, 13, 64, 16))
    draw_bars(canvas, label.digits, 2, 2, 9)


def _card(canvas: Canvas, label: WallCard) -> None:
    write_high(canvas, label.words, Box(15, 95, 180, 32))
    write_block(canvas, label.says, Box(15, 72, 180, 14))
    canvas.saveState()
    canvas.translate(15 * mm, 20 * mm)
    canvas.scale(2.5, 2.5)  # to be read from an arm's length and more
    draw_bars(canvas, label.digits, 0, 0, 16)
    canvas.restoreState()


_DRAWN: dict[type[Label], Callable[..., None]] = {
    LotLabel: _lot,
    BagLabel: _bag,
    SampleTag: _sample,
    ContainerTag: _container,
    PlaceLabel: _place,
    EnvelopeLabel: _envelope,
    WallCard: _card,
}


def _lines(canvas: Canvas, lines: Sequence[str], box: Box) -> None:
    """Write lines from the top of a box, evenly, the first one bold."""
    said = [line for line in lines if line]
    step = min(5.0, box.height / max(1, len(said)))
    for place, line in enumerate(said):
        below = Box(box.x, box.y + box.height - (place + 1) * step + 1, box.width, step)
        write_line(canvas, line, below, face=PLAIN if place else BOLD, points=step * mm / LINE_HEIGHT)


def _warn(canvas: Canvas, label: LotLabel | BagLabel, box: Box) -> None:
    """Say that seed is treated; its caution stands under it, or on the page after where it is too long."""
    if not label.warning:
        return
    half = box.height / 2
    write_block(canvas, label.warning, Box(box.x, box.y + half, box.width, half), face=BOLD, points=10.0)
    below = Box(box.x, box.y, box.width, half)
    if not write_block(canvas, label.caution, below, points=8.0):
        write_line(canvas, label.caution_heading, below, points=7.0)


def _caution_page(canvas: Canvas, label: Label) -> None:
    if not isinstance(label, LotLabel | BagLabel) or not label.caution or _caution_fits(label):
        return
    width, height = SIZES[type(label)]
    canvas.setPageSize((width * mm, height * mm))
    write_line(canvas, label.number, Box(4, height - 9, width - 8, 6), face=BOLD)
    write_block(canvas, label.warning, Box(4, height - 20, width - 8, 9), face=BOLD)
    write_block(canvas, label.caution, Box(4, 3, width - 8, height - 24))
    canvas.showPage()


def _caution_fits(label: LotLabel | BagLabel) -> bool:
    box = Box(0, 0, 40, 10.5 / 2) if isinstance(label, LotLabel) else Box(0, 0, 84, 6)
    return write_block(Canvas(BytesIO()), label.caution, box, points=8.0)


def _strip(canvas: Canvas, box: Box) -> None:
    """Leave a blank strip for a marker pen."""
    canvas.setLineWidth(_STRIP * mm)
    canvas.rect(box.x * mm, box.y * mm, box.width * mm, box.height * mm, stroke=1, fill=0)


def _tear(canvas: Canvas, y: float, width: float) -> None:
    canvas.saveState()
    canvas.setLineWidth(_STRIP * mm)
    canvas.setDash(1.5 * mm, 1 * mm)
    canvas.line(0, y * mm, width * mm, y * mm)
    canvas.restoreState()
