"""Boxes of a lot's page with what is drawn of them."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.text import slugify

from hilum.plugins import Curve, Panel, Replicates, Swatch
from inventory.drawing.curve import HEIGHT as CURVE_HEIGHT
from inventory.drawing.curve import WIDTH as CURVE_WIDTH
from inventory.drawing.curve import Drawn, draw_curve
from inventory.drawing.post import Post, posts
from inventory.drawing.replicates import Row, replicate_row
from inventory.pages.pictures import Picture

_ROW, DOTS_HEIGHT = 32, 80  # height of a judged number in a file
SQUARE = 160  # a colour with the room beside it


@dataclass(frozen=True)
class Shown:
    """A box with its drawings laid out."""

    panel: Panel
    name: str  # for its picture's address; "" where nothing is drawn
    posts: tuple[Post, ...]
    row: Row | None
    drawn: Drawn | None


def shown_panel(panel: Panel) -> Shown:
    """Lay out what can be drawn of a box."""
    row = replicate_row(panel.replicates) if panel.replicates and panel.replicates.values else None
    drawn = draw_curve(panel.curve) if panel.curve and len(panel.curve.points) > 1 else None
    name = slugify(panel.title) if panel.posts or drawn or panel.swatches else ""
    return Shown(panel, name, tuple(posts(panel.posts)), row, drawn)


def picture_of(lot: str, shown: Shown) -> Picture:
    """Give the picture of a box: its curve, else its colours, else its judged numbers."""
    title = f"{shown.panel.title} {lot}"
    if shown.drawn and shown.panel.curve:
        return _curve_picture(title, shown.panel.says, shown.panel.curve, shown.drawn)
    if shown.panel.swatches and not shown.posts:
        return swatches_picture(title, shown.panel.says, shown.panel.swatches, shown.panel.rows)
    return _posts_picture(title, shown)


def swatches_picture(
    title: str, says: str, swatches: Sequence[Swatch], more: Sequence[Sequence[str]] = ()
) -> Picture:  # fmt: skip
    """Give squares of colour beside each other, with the numbers that they were worked out from."""
    laid = [{"x": SQUARE * place, "one": one} for place, one in enumerate(swatches)]
    rows, width = [[one.words, one.code] for one in swatches], max(500, SQUARE * len(laid))
    return Picture(
        title, says, "inventory/pictures/swatches.svg", {"laid": laid, "swatches_width": width}, width, SQUARE,
        ["what", "in numbers"], [*rows, *map(list, more)],
    )  # fmt: skip


def _curve_picture(title: str, says: str, curve: Curve, drawn: Drawn) -> Picture:
    before = {x: (low, high) for x, low, high in curve.before}
    rows = [[str(x), str(y), *map(str, before.get(x, ("", "")))] for x, y in curve.points]
    heads = [curve.across, curve.up, "least before", "most before"]
    lines = [f"Grey: {curve.before_words}"] if curve.before_words else []
    context: dict[str, Any] = {"curve": curve, "drawn": drawn}
    return Picture(
        title, says, "inventory/pictures/curve.svg", context, CURVE_WIDTH, CURVE_HEIGHT, heads, rows, lines
    )  # fmt: skip


def _posts_picture(title: str, shown: Shown) -> Picture:
    laid = [{"y": _ROW * place, "post": post} for place, post in enumerate(shown.posts)]
    height = _ROW * len(laid) + (DOTS_HEIGHT if shown.row else 0)
    rows = [_post_row(post) for post in shown.posts]
    one = shown.panel.replicates
    if one and shown.row:
        rows += _replicate_rows(one)
    return Picture(
        title, shown.panel.says, "inventory/pictures/posts.svg",
        {"laid": laid, "posts": shown.posts, "posts_height": height, "dots_y": _ROW * len(laid), "one": one,
         "row": shown.row}, 1240, height,
        ["what", "reading", "limit", "likely from", "likely to", "in words"], rows,
        inline="inventory/pictures/posts.html",
    )  # fmt: skip


def _post_row(post: Post) -> list[str]:
    judged = post.judged
    ends = ["" if end is None else str(end) for end in (judged.limit, judged.low, judged.high)]
    return [judged.name, judged.shown, *ends, judged.words]


def _replicate_rows(one: Replicates) -> list[list[str]]:
    values: Sequence[str] = [f"{value} {one.unit}" for value in one.values]
    return [[f"{one.name}, replicate {place}", value, "", "", "", ""] for place, value in enumerate(values, 1)]
