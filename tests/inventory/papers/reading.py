"""Printed pages read back as a scanner and a ruler read them."""

import re
from collections.abc import Iterator
from dataclasses import dataclass

import pypdfium2
import zxingcpp
from PIL import Image

DPI = 203  # of a common label printer: 8 dots to the millimetre
POINTS_PER_MM = 72 / 25.4


@dataclass(frozen=True)
class Page:
    """A page as it was drawn."""

    width_mm: float
    height_mm: float
    image: Image.Image
    text: str

    def codes(self) -> list[tuple[str, str]]:
        """Every code on it: its kind and what it holds."""
        return sorted((found.format.name, found.text) for found in zxingcpp.read_barcodes(self.image))


def pages(pdf: bytes, dpi: int = DPI) -> list[Page]:
    """Draw each page as a printer does."""
    return list(_pages(pdf, dpi))


def _pages(pdf: bytes, dpi: int) -> Iterator[Page]:
    for page in pypdfium2.PdfDocument(pdf):
        image = page.render(scale=dpi / 72).to_pil().convert("L")
        text = re.sub(r"\s+", " ", page.get_textpage().get_text_range())
        yield Page(page.get_width() / POINTS_PER_MM, page.get_height() / POINTS_PER_MM, image, text)


def text_of(pdf: bytes) -> str:
    """All words of a document."""
    return " ".join(page.text for page in pages(pdf, dpi=20))


def text_boxes(pdf: bytes) -> list[tuple[str, float, float, float, float]]:
    """Every run of letters with its left, lower, right and upper edge [mm], page after page."""
    found = []
    for page in pypdfium2.PdfDocument(pdf):
        words = page.get_textpage()
        for number in range(words.count_rects()):
            left, low, right, high = (edge / POINTS_PER_MM for edge in words.get_rect(number))
            found.append((words.get_text_bounded(*words.get_rect(number)), left, low, right, high))
    return found
