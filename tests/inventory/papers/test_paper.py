"""Papers on whole sheets: their sizes, their pages, and that nothing stands outside of them."""

from decimal import Decimal

import pytest

from inventory.drawing.post import Judged, posts
from inventory.drawing.ribbon import Part as Flow
from inventory.drawing.ribbon import ribbon
from inventory.papers.paper import (
    A4,
    A5,
    LETTER,
    ROLL,
    Band,
    Blanks,
    Facts,
    Heading,
    Judgement,
    Paper,
    Table,
    Words,
    paper_pdf,
)
from tests.inventory.papers.reading import pages, text_boxes, text_of

RIBBON = ribbon([Flow(434, "gone", "blend"), Flow(10, "unaccounted", "lost"), Flow(150, "left", "left")])
POSTS = posts(
    [
        Judged("splits", Decimal("1.12"), Decimal(2), "1.12 %", "0.88 below No. 1", Decimal("0.8"), Decimal("1.6")),
        Judged("stones", Decimal(9), Decimal("0.2"), "9.00 %", "over No. 1 by 8.80"),
        Judged("damaged", Decimal("0.6"), None, "0.60 %"),
    ]
)
LONG = "a remark that somebody wrote on the back of a sack " * 4
PAPER = Paper(
    title="Lot 24-0016-5",
    under="A small station",
    parts=(
        Words("TREATED, not for food or feed", is_loud=True),
        Facts((("Line", "QN-2104"), ("Remarks", LONG), ("Odd", "<b>&amp; 5 < 6"))),
        Heading("Where it went"),
        Band(RIBBON, ("blend 434.0 kg", "in store 150.0 kg"), is_held=True, is_treated=True),
        Table(("When", "What", "Mass"), (("9 Oct 2024", LONG, "150.0 kg"),) * 3, frozenset({2})),
        Judgement(tuple(POSTS)),
        Blanks(("Handed over by", "Received by", "Day")),
    ),
    foot="A small station · newest act #7",
    digits="2400165",
    address="http://10.0.0.5:8000/s/2400165",
)


@pytest.mark.outside("ISO 216:2007, table 1: A4 210 × 297 mm, A5 148 × 210 mm")
@pytest.mark.parametrize(("size", "expected"), [(A4, (210, 297)), (A5, (148, 210))], ids=["A4", "A5"])
def test_sheets_have_their_standards_size(size: tuple[float, float], expected: tuple[float, float]) -> None:
    for page in pages(paper_pdf([PAPER], size), dpi=20):
        assert (page.width_mm, page.height_mm) == pytest.approx(expected, abs=0.01)


@pytest.mark.outside("ANSI/ASME Y14.1, size A: 8.5 × 11 inches")
def test_letter_is_eight_and_a_half_by_eleven_inches() -> None:
    for page in pages(paper_pdf([PAPER], LETTER), dpi=20):
        assert (page.width_mm / 25.4, page.height_mm / 25.4) == pytest.approx((8.5, 11), abs=0.001)


def test_a_roll_is_80_mm_wide_and_one_page_as_long_as_what_stands_on_it() -> None:
    (short,) = pages(paper_pdf([Paper("Intake", "x", (Facts((("Net", "800 kg"),)),))], ROLL), dpi=20)
    long, again = pages(paper_pdf([PAPER, PAPER], ROLL), dpi=20)
    assert long.height_mm == again.height_mm
    assert short.width_mm == long.width_mm == pytest.approx(80, abs=0.01)
    assert short.height_mm < 60 < long.height_mm


@pytest.mark.parametrize("size", [A4, A5, LETTER, ROLL], ids=["A4", "A5", "Letter", "roll"])
def test_no_letter_leaves_its_sheet(size: tuple[float, float]) -> None:
    pdf = paper_pdf([PAPER], size)
    height = pages(pdf, dpi=20)[0].height_mm
    for text, left, low, right, high in text_boxes(pdf):
        assert left >= 3 and right <= size[0] - 3, text
        assert low >= 0 and high <= height, text


@pytest.mark.parametrize("size", [A4, A5, LETTER, ROLL], ids=["A4", "A5", "Letter", "roll"])
def test_everything_that_was_given_stands_on_it(size: tuple[float, float]) -> None:
    said = text_of(paper_pdf([PAPER], size))
    for words in (
        "Lot 24-0016-5", "A small station", "TREATED, not for food or feed", "QN-2104", "<b>&amp; 5 < 6",
        "blend 434.0 kg", "150.0 kg", "stones", "9.00 %", "Handed over by", "newest act #7",
    ):  # fmt: skip
        assert words in said, words
    assert said.count("a remark that somebody wrote") == 16


@pytest.mark.outside("zxing-cpp, another reader of ISO/IEC 15417 Code 128 and ISO/IEC 18004 QR codes")
def test_the_codes_of_a_paper_are_read_back() -> None:
    codes = pages(paper_pdf([PAPER], A4))[0].codes()
    assert codes == [("Code128", "2400165"), ("QRCode", "http://10.0.0.5:8000/s/2400165")]


def test_several_papers_each_begin_a_page_and_every_page_says_which_of_how_many() -> None:
    printed = pages(paper_pdf([PAPER, PAPER, PAPER], A4), dpi=20)
    assert [page.text.startswith("Lot 24-0016-5") for page in printed] == [True] * 3
    assert [f"{number} / 3" in page.text for number, page in enumerate(printed, start=1)] == [True] * 3


def test_a_table_of_five_hundred_bags_runs_over_pages_with_its_heading_on_each() -> None:
    bags = Table(("Bag", "Mass"), tuple((str(bag), "25.0 kg") for bag in range(1, 501)))
    printed = pages(paper_pdf([Paper("Shipment S1", "", (bags,))], A4), dpi=20)
    assert len(printed) > 5
    assert all("Bag Mass" in page.text for page in printed)
    assert sum(page.text.count("25.0 kg") for page in printed) == 500


def dark_share(page, box: tuple[int, int, int, int]) -> float:
    part = page.image.crop(box)
    return sum(count for grey, count in enumerate(part.histogram()) if grey < 128) / (part.width * part.height)


def test_what_is_left_is_filled_and_what_has_gone_is_not() -> None:
    left = Band(ribbon([Flow(1, "left", "left")]), ("left",))
    gone = Band(ribbon([Flow(1, "gone", "gone")]), ("gone",))
    both = [pages(paper_pdf([Paper("x", "", (band,))], A4), dpi=50)[0] for band in (left, gone)]
    shares = [dark_share(page, (100, 50, 300, 110)) for page in both]
    assert shares[0] > 0.2
    assert shares[1] < 0.1


def test_the_same_paper_is_the_same_bytes() -> None:
    assert paper_pdf([PAPER], A4) == paper_pdf([PAPER], A4)
