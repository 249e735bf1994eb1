"""Ribbons and posts on paper: the geometry of the pages, in black."""

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable

from inventory.drawing import post as posts
from inventory.drawing import ribbon as ribbons
from inventory.papers.ink import BOLD, Box, write_line

RIBBON_MM, POST_MM = 9.0, 7.0
_GREY, _LIGHT = 0.25, 0.85


class DrawnRibbon(Flowable):  # type: ignore[misc]
    """A ribbon: what is left is filled, what has gone is outlined, what is unaccounted is hatched.

    Args:
        inner: width of the paper within its margins [mm].
    """

    def __init__(self, ribbon: ribbons.Ribbon, inner: float, *, is_held: bool, is_treated: bool) -> None:
        super().__init__()
        self.ribbon, self.inner, self.is_held, self.is_treated = ribbon, inner, is_held, is_treated

    def wrap(self, *_room: float) -> tuple[float, float]:
        return self.inner * mm, (RIBBON_MM + 4) * mm

    def draw(self) -> None:
        canvas: Canvas = self.canv
        scale = self.inner * mm / ribbons.WIDTH
        canvas.setLineWidth(0.6)
        for band in self.ribbon.bands:
            self._draw_band(band.x * scale, band.width * scale, band.part.kind)
        if self.is_held:
            canvas.setLineWidth(2)
            canvas.line(0, (2 + RIBBON_MM / 2) * mm, self.ribbon.end * scale, (2 + RIBBON_MM / 2) * mm)

    def _draw_band(self, x: float, width: float, kind: str) -> None:
        canvas: Canvas = self.canv
        low, high = 2 * mm, RIBBON_MM * mm
        canvas.setFillGray(_GREY if kind == "left" else 1)
        canvas.rect(x, low, width, high, stroke=1, fill=1)
        canvas.setFillGray(0)
        if kind == "unaccounted":
            step = 1.5 * mm
            for at in range(int(width / step)):
                canvas.line(x + at * step, low, x + (at + 1) * step, low + high)
        if self.is_treated and kind == "left":
            for at in range(int(width / (3 * mm))):
                canvas.lines([(x + at * 3 * mm, low, x + (at + 0.5) * 3 * mm, low - 1.5 * mm),
                              (x + (at + 0.5) * 3 * mm, low - 1.5 * mm, x + (at + 1) * 3 * mm, low)])  # fmt: skip


class DrawnPost(Flowable):  # type: ignore[misc]
    """A number on its rule: name and reading at the left, rule in the middle, words at the right."""

    def __init__(self, post: posts.Post, inner: float) -> None:
        super().__init__()
        self.post, self.inner = post, inner

    def wrap(self, *_room: float) -> tuple[float, float]:
        return self.inner * mm, POST_MM * mm

    def draw(self) -> None:
        judged = self.post.judged
        left, rule = self.inner * 0.42, self.inner * 0.28
        write_line(self.canv, judged.name, Box(0, 2, left - 22, 5), points=8.0)
        write_line(self.canv, judged.shown, Box(left - 20, 2, 18, 5), face=BOLD, points=8.0)
        words = f"{'' if self.post.is_met else 'x '}{judged.words}"
        write_line(self.canv, words, Box(left + rule + 4, 2, self.inner - left - rule - 4, 5), points=8.0)
        if judged.limit:
            self._draw_rule(left * mm, rule * mm / posts.WIDTH, POST_MM / 2 * mm)

    def _draw_rule(self, x: float, scale: float, y: float) -> None:
        canvas: Canvas = self.canv
        canvas.setLineWidth(0.4)
        canvas.line(x, y, x + posts.WIDTH * scale, y)
        if self.post.has_line:
            canvas.setLineWidth(1.6)
            canvas.line(x + self.post.line_x * scale, y, x + (self.post.line_x + self.post.line_width) * scale, y)
        canvas.setLineWidth(1.6)
        canvas.line(x + posts.POST_X * scale, y - 2 * mm, x + posts.POST_X * scale, y + 2 * mm)
        dot = x + self.post.dot_x * scale
        if not self.post.is_beyond:
            canvas.circle(dot, y, 1.1 * mm, stroke=0, fill=1)
            return
        arrow = canvas.beginPath()
        arrow.moveTo(dot - 2 * mm, y + 1.5 * mm)
        arrow.lineTo(dot + 1 * mm, y)
        arrow.lineTo(dot - 2 * mm, y - 1.5 * mm)
        canvas.drawPath(arrow, stroke=0, fill=1)
