"""Papers on whole sheets: a heading with its codes, then sentences, facts, shapes, tables and lines to sign."""

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from io import BytesIO
from typing import Any, TypeAlias

from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    BaseDocTemplate,
    Flowable,
    Frame,
    PageBreak,
    PageTemplate,
    Paragraph,
    Spacer,
)
from reportlab.platypus import Table as Grid

from inventory.drawing.post import Post
from inventory.drawing.ribbon import Ribbon
from inventory.papers.ink import BOLD, PLAIN, draw_bars, draw_qr, printable, width_of, write_line
from inventory.papers.ink import Box as Area
from inventory.papers.shapes import DrawnPost, DrawnRibbon

# Width and height [mm]. ISO 216:2007 for A4 and A5; ANSI/ASME Y14.1 size A, 8.5 by 11 inches, for Letter. A roll is as
# long as what stands on it.
A4, A5, LETTER, ROLL = (210.0, 297.0), (148.0, 210.0), (215.9, 279.4), (80.0, 0.0)
SIZES = {"A4": A4, "A5": A5, "Letter": LETTER, "roll": ROLL}
_HAIR = 0.25  # points


@dataclass(frozen=True)
class Heading:
    """A heading within a paper."""

    text: str


@dataclass(frozen=True)
class Words:
    """A sentence or more; loud ones are warnings, in a frame."""

    text: str
    is_loud: bool = False


@dataclass(frozen=True)
class Facts:
    """What was looked at, and what was found."""

    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Table:
    """Rows under headings; `numbers` are the columns that stand to the right."""

    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    numbers: frozenset[int] = frozenset()


@dataclass(frozen=True)
class Band:
    """A ribbon with its parts in words."""

    ribbon: Ribbon
    words: tuple[str, ...]
    is_held: bool = False
    is_treated: bool = False


@dataclass(frozen=True)
class Judgement:
    """Numbers on their rules, each with its post."""

    posts: tuple[Post, ...]


@dataclass(frozen=True)
class Blanks:
    """Lines to fill in or sign by hand, two beside each other."""

    names: tuple[str, ...]


Part: TypeAlias = Heading | Words | Facts | Table | Band | Judgement | Blanks


@dataclass(frozen=True)
class Paper:
    """One paper.

    Args:
        title: "Lot 24-0016-5".
        under: one line under it: station, day.
        foot: what stands small at the foot of every page.
        digits: number in bars at the top; "" for none.
        address: in a code for phones beside it; "" for none.
    """

    title: str
    under: str
    parts: tuple[Part, ...]
    foot: str = ""
    digits: str = ""
    address: str = ""


def paper_pdf(papers: Sequence[Paper], size: tuple[float, float] = A4) -> bytes:
    """Lay papers out one after the other, each from a page of its own.

    Args:
        size: of the sheet [mm]; height 0 is a roll.
    """
    stream = BytesIO()
    width, height = size
    margin = 4.0 if width <= 80 else 12.0 if width < 200 else 15.0
    inner = width - 2 * margin
    flow = [one for number, paper in enumerate(papers) for one in _flow(paper, inner, is_first=not number)]
    foot_room = 8.0
    height = height or max(_roll_height(one, inner) for one in papers) + 2 * margin + foot_room
    document = BaseDocTemplate(
        stream, pagesize=(width * mm, height * mm), title=printable(papers[0].title), invariant=1, allowSplitting=1
    )  # fmt: skip
    frame = Frame(
        margin * mm, (margin + foot_room - 4) * mm, inner * mm, (height - 2 * margin - foot_room + 4) * mm,
        leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0,
    )  # fmt: skip
    document.addPageTemplates(PageTemplate(frames=[frame]))
    document.build(flow, canvasmaker=_counting(papers[0].foot, margin, inner))
    return stream.getvalue()


def _flow(paper: Paper, inner: float, *, is_first: bool) -> list[Flowable]:
    flow: list[Flowable] = [*([] if is_first else [PageBreak()]), _Top(paper, inner)]
    for part in paper.parts:
        flow.extend(_LAID[type(part)](part, inner))
    return flow


class _Top(Flowable):  # type: ignore[misc]
    """Title, line under it, and the codes at its right."""

    def __init__(self, paper: Paper, inner: float) -> None:
        super().__init__()
        self.paper, self.inner = paper, inner
        self.is_narrow = inner < 100
        self.high = (30.0 if self.is_narrow else 22.0) if paper.digits else 15.0

    def wrap(self, *_room: float) -> tuple[float, float]:
        return self.inner * mm, self.high * mm

    def draw(self) -> None:
        canvas: Canvas = self.canv
        has_qr = bool(self.paper.address) and not self.is_narrow
        room = self.inner - (70 if has_qr else 46 if self.paper.digits and not self.is_narrow else 0)
        canvas.setFont(BOLD, 14)
        write_title(canvas, self.paper.title, Area(0, self.high - 6, room, 6))
        write_line(canvas, self.paper.under, Area(0, self.high - 12, room, 5), points=9.0)
        if not self.paper.digits:
            return
        if self.is_narrow:
            draw_bars(canvas, self.paper.digits, 0, 3, 11)
            return
        draw_bars(canvas, self.paper.digits, self.inner - 46, self.high - 12, 12)
        if has_qr:
            draw_qr(canvas, self.paper.address, self.inner - 68, self.high - 18, 18)


def write_title(canvas: Canvas, text: str, box: Area) -> None:
    """Write a title in 14 points, smaller where it would be too wide."""
    text = printable(text)
    points = 14.0
    while points > 7 and width_of(text, points, BOLD) > box.width:
        points -= 0.5
    canvas.setFont(BOLD, points)
    canvas.drawString(box.x * mm, box.y * mm, text)


def _style(**more: Any) -> ParagraphStyle:
    printable("")  # the faces are registered with the first text that is measured
    return ParagraphStyle("p", **{"fontName": PLAIN, "fontSize": 8.5, "leading": 11.5, **more})


def _paragraph(text: str, **more: Any) -> Paragraph:
    return Paragraph("<br/>".join(escape(printable(line)) for line in text.split("\n")), _style(**more))


def _heading(part: Heading, _inner: float) -> list[Flowable]:
    return [_paragraph(part.text, fontName=BOLD, fontSize=10, leading=14, spaceBefore=8, spaceAfter=2, keepWithNext=1)]


def _words(part: Words, _inner: float) -> list[Flowable]:
    loud = {
        "borderWidth": 1,
        "borderColor": "black",
        "borderPadding": 5,
        "leftIndent": 6,
        "rightIndent": 6,
        "fontName": BOLD,
        "fontSize": 10,
    }
    room = {"leading": 13, "spaceBefore": 9, "spaceAfter": 9} if part.is_loud else {"spaceAfter": 3}
    return [_paragraph(part.text, **(loud if part.is_loud else {}), **room)]


def _facts(part: Facts, inner: float) -> list[Flowable]:
    left = min(48.0, inner * 0.36)
    cells = [[_paragraph(name), _paragraph(found, fontName=BOLD)] for name, found in part.rows]
    return [_grid(cells, [left, inner - left])] if cells else []


def _table(part: Table, inner: float) -> list[Flowable]:
    if not part.rows:
        return []
    right = {"alignment": 2}
    head = [
        _paragraph(text, fontName=BOLD, **(right if n in part.numbers else {})) for n, text in enumerate(part.headings)
    ]
    rows = [
        [_paragraph(text, **(right if n in part.numbers else {})) for n, text in enumerate(row)] for row in part.rows
    ]
    return [_grid([head, *rows], _widths(part, inner), repeat=1)]


def _widths(part: Table, inner: float) -> list[float]:
    """Share the width by the longest text of each column, none less than a seventh part of an even share [mm]."""
    columns = list(zip(part.headings, *part.rows, strict=True))
    wanted = [min(60.0, max(width_of(printable(text), 8.5, BOLD) for text in column) + 5) for column in columns]
    scale = inner / sum(wanted)
    return [one * scale for one in wanted]


def _grid(cells: list[list[Paragraph]], widths: Sequence[float], repeat: int = 0) -> Grid:
    style = [
        ("LINEBELOW", (0, 0), (-1, -1), _HAIR, "black"),
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("RIGHTPADDING", (0, 0), (-1, -1), 6),
        ("TOPPADDING", (0, 0), (-1, -1), 1.5),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2.5),
    ]
    return Grid(cells, colWidths=[width * mm for width in widths], repeatRows=repeat, style=style, spaceAfter=6)


def _band(part: Band, inner: float) -> list[Flowable]:
    drawn = DrawnRibbon(part.ribbon, inner, is_held=part.is_held, is_treated=part.is_treated)
    drawn.keepWithNext = True
    return [drawn, _paragraph(" · ".join(part.words), fontSize=7.5, spaceAfter=6)]


def _judgement(part: Judgement, inner: float) -> list[Flowable]:
    return [DrawnPost(post, inner) for post in part.posts]


def _blanks(part: Blanks, inner: float) -> list[Flowable]:
    """Two lines beside each other, a gap between them, room to write above each."""
    names = [_paragraph(name) for name in (*part.names, "")[: len(part.names) + len(part.names) % 2]]
    pairs = [[names[at], "", names[at + 1]] for at in range(0, len(names), 2)]
    lines = [("LINEABOVE", (column, 0), (column, 0), _HAIR, "black") for column in (0, 2)]
    style = [*lines, ("LEFTPADDING", (0, 0), (-1, -1), 0)]
    widths = [inner * share * mm for share in (0.47, 0.06, 0.47)]
    return [Spacer(1, 4), *(Grid([pair], colWidths=widths, style=style, spaceBefore=26) for pair in pairs)]


_LAID: dict[type[Part], Any] = {
    Heading: _heading,
    Words: _words,
    Facts: _facts,
    Table: _table,
    Band: _band,
    Judgement: _judgement,
    Blanks: _blanks,
}


def _roll_height(paper: Paper, inner: float) -> float:
    """Measure how long a roll has to be for a paper [mm]."""
    total, canvas = 0.0, Canvas(BytesIO())
    for one in _flow(paper, inner, is_first=True):
        _width, high = one.wrapOn(canvas, inner * mm, 10_000 * mm)
        total += high + one.getSpaceBefore() + one.getSpaceAfter()
    return float(total / mm) + 2


def _counting(foot: str, margin: float, inner: float) -> type[Canvas]:
    """Make a canvas that knows at its end how many pages there are, and writes the foot of each."""

    class Counting(Canvas):  # type: ignore[misc]
        def __init__(self, *args: Any, **kwargs: Any) -> None:
            super().__init__(*args, **kwargs)
            self.kept: list[dict[str, Any]] = []

        def showPage(self) -> None:  # noqa: N802 - the library's name
            self.kept.append(dict(self.__dict__))
            self._startPage()

        def save(self) -> None:
            for number, page in enumerate(self.kept, start=1):
                self.__dict__.update(page)
                count = f"{number} / {len(self.kept)}"
                wide = width_of(count, 7.0)
                write_line(self, foot, Area(margin, margin - 3, inner - wide - 4, 4), points=7.0)
                write_line(self, count, Area(margin + inner - wide - 0.1, margin - 3, wide + 0.2, 4), points=7.0)
                super().showPage()
            super().save()

    return Counting
