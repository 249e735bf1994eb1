"""Labels, drawn from their PDF at a label printer's 203 dpi and read back by another program's reader."""

from dataclasses import replace

import pytest
import zxingcpp

from inventory.papers.ink import BAR_MM, BOLD, POINTS, QUIET_BARS, Box, bar_code, bars_width, width_of, wrapped
from inventory.papers.label_rows import label_file
from inventory.papers.labels import (
    SIZES,
    BagLabel,
    ContainerTag,
    EnvelopeLabel,
    LotLabel,
    PlaceLabel,
    SampleTag,
    WallCard,
    labels_pdf,
)
from inventory.rules.label_codes import LabelKind, label_code
from tests.inventory.papers.reading import pages, text_boxes, text_of

AT = "http://10.20.30.40:8000/s/"
LINES = ("QN-2104", "navy", "from 24-0015-4", "net 587.2 kg, 9 Oct 2024", "moisture 13.2 % wet basis")
LONG = "Line with a name that somebody gave it on a long winter evening × another one, third selection"
LOT = LotLabel("24-0016-5", "2400165", f"{AT}2400165", LINES)
WIDE = LotLabel("24-10000-5", "24100005", f"{AT}24100005", (LONG, LONG, LONG, LONG, LONG))
TREATED = {"warning": "TREATED, not for food or feed", "caution_heading": "Cautions on the next label"}
BAG_CODE = label_code(LabelKind.BAG, 1401)
BAG = BagLabel("24-0016-5", "bag 14 of 23", BAG_CODE, AT + BAG_CODE, LINES, trial="for trial use only")
TAG = SampleTag("G03", label_code(LabelKind.SAMPLE, 3), "navy", "file sample")
BIN = ContainerTag("SB-07", label_code(LabelKind.CONTAINER, 7), AT + label_code(LabelKind.CONTAINER, 7), LINES[:3])
PLACE = PlaceLabel("A-01", label_code(LabelKind.PLACE, 1), AT + label_code(LabelKind.PLACE, 1), "rack A, first bay")
ENVELOPE = EnvelopeLabel("12 of 24", "QM25-T101", label_code(LabelKind.PLOT, 7), LINES[:3])
CARD = WallCard("SAVE", label_code(LabelKind.CARD, 1), "Same as F2.")
ALL = (LOT, WIDE, BAG, TAG, BIN, PLACE, ENVELOPE, CARD)


def kind(label: object) -> str:
    return type(label).__name__


@pytest.mark.outside("zxing-cpp, another reader of ISO/IEC 15417 Code 128 and ISO/IEC 18004 QR codes")
@pytest.mark.parametrize("label", [LOT, WIDE, BAG], ids=["lot", "wide number", "bag"])
def test_bars_stand_twice_and_the_phone_code_holds_the_address(label: LotLabel | BagLabel) -> None:
    (page,) = pages(labels_pdf([label]))
    expected = [("Code128", label.digits), ("Code128", label.digits), ("QRCode", label.address)]
    assert page.codes() == expected


@pytest.mark.outside("zxing-cpp, another reader of ISO/IEC 15417 Code 128")
@pytest.mark.parametrize("label", ALL, ids=kind)
def test_every_label_is_read_back_as_what_it_holds(label: LotLabel) -> None:
    (page,) = pages(labels_pdf([label]))
    assert {("Code128", label.digits)} <= set(page.codes())


@pytest.mark.outside("ISO/IEC 18004:2015, table 12, by zxing-cpp: level Q, a quarter of the code may be lost")
@pytest.mark.parametrize("label", [LOT, BAG, BIN, PLACE], ids=kind)
def test_the_phone_code_mends_a_quarter_of_itself(label: LotLabel) -> None:
    (page,) = pages(labels_pdf([label]))
    levels = [found.ec_level for found in zxingcpp.read_barcodes(page.image) if found.format.name == "QRCode"]
    assert levels == ["Q"]


@pytest.mark.parametrize("covered", [(0, 0, 800, 110), (700, 0, 800, 480)], ids=["top", "side"])
def test_a_lot_label_smeared_over_one_of_its_bars_is_still_read(covered: tuple[int, int, int, int]) -> None:
    (page,) = pages(labels_pdf([LOT]))
    page.image.paste(0, covered)
    assert ("Code128", "2400165") in page.codes()


@pytest.mark.parametrize("label", ALL, ids=kind)
def test_a_page_is_as_large_as_the_label_to_a_hundredth_of_a_millimetre(label: LotLabel) -> None:
    (page,) = pages(labels_pdf([label]))
    assert (page.width_mm, page.height_mm) == pytest.approx(SIZES[type(label)], abs=0.01)


def test_labels_have_the_sizes_that_rolls_are_cut_to() -> None:
    sizes = {kind(label): SIZES[type(label)] for label in ALL}
    assert sizes["LotLabel"] == (100, 60)
    assert sizes["BagLabel"] == (100, 75)
    assert sizes["SampleTag"] == (60, 30)
    assert sizes["ContainerTag"] == (70, 70)


@pytest.mark.outside("ISO 216:2007, clause 5: A5 is 148 mm × 210 mm")
def test_a_card_for_the_wall_is_a5() -> None:
    assert SIZES[WallCard] == (210, 148)


def dark_runs(page, row: int) -> list[int]:
    """Widths of the dark stretches along a row [dots]."""
    dots = [page.image.getpixel((x, row)) < 128 for x in range(page.image.width)]
    runs, length = [], 0
    for is_dark in [*dots, False]:
        if is_dark:
            length += 1
        elif length:
            runs.append(length)
            length = 0
    return runs


def test_the_thinnest_bar_on_the_printed_label_is_at_least_0_33_mm() -> None:
    (page,) = pages(labels_pdf([LOT]), dpi=2030)
    bars = [run / 2030 * 25.4 for run in dark_runs(page, row=int(6 / 25.4 * 2030))]
    assert len(bars) > 20
    assert min(bars) == pytest.approx(BAR_MM, abs=0.02)
    assert min(bars) >= 0.33


def test_the_number_is_ten_millimetres_high() -> None:
    (page,) = pages(labels_pdf([LOT]), dpi=254)
    across = page.image.crop((25, 0, 840, page.image.height))
    rows = [y for y in range(130, 260) if across.crop((0, y, across.width, y + 1)).getextrema()[0] < 128]
    number = [y for y in rows if y - 1 in rows or y + 1 in rows]
    assert (max(number) - min(number) + 1) / 10 == pytest.approx(10, abs=0.5)


def test_the_phone_code_is_22_mm_wide() -> None:
    (page,) = pages(labels_pdf([LOT]), dpi=254)
    code = page.image.crop((600, 260, 850, 500))
    columns = [x for x in range(code.width) if code.crop((x, 0, x + 1, code.height)).getextrema()[0] < 128]
    assert (max(columns) - min(columns) + 1) / 10 == pytest.approx(22, abs=0.2)


@pytest.mark.parametrize("label", [*ALL, replace(BAG, lines=WIDE.lines * 2), replace(BIN, code="SB-0712345678901234")])
def test_no_letter_leaves_its_label(label: LotLabel) -> None:
    width, height = SIZES[type(label)]
    for text, left, low, right, high in text_boxes(labels_pdf([label])):
        assert Box(0, 0, width, height).holds(Box(left, low, right - left, high - low)), text


@pytest.mark.parametrize("label", [WIDE, replace(BAG, lines=WIDE.lines * 2)], ids=kind)
def test_long_names_do_not_reach_into_the_codes(label: LotLabel) -> None:
    (page,) = pages(labels_pdf([label]))
    assert len(page.codes()) == 3
    lines = [box for box in text_boxes(labels_pdf([label])) if "somebody" in box[0]]
    assert lines and all(right <= 58 for _text, _left, _low, right, _high in lines)


def test_a_name_in_letters_the_face_lacks_is_written_as_near_as_can_be() -> None:
    said = text_of(labels_pdf([replace(LOT, lines=("Łódź → Σ ẵ", "Jalapeño d’été"))]))
    assert "Łódz > ? a" in said
    assert "Jalapeño d’été" in said


@pytest.mark.parametrize("label", [LOT, BAG], ids=kind)
def test_treated_seed_says_so_with_the_caution_of_its_product(label: LotLabel) -> None:
    said = text_of(labels_pdf([replace(label, caution="Wear gloves.", **TREATED)]))
    assert "TREATED, not for food or feed" in said
    assert "Wear gloves." in said


@pytest.mark.parametrize("label", [LOT, BAG], ids=kind)
def test_a_caution_too_long_for_its_label_follows_on_the_next_whole(label: LotLabel) -> None:
    caution = "Keep away from water, children and cattle. " * 9
    printed = pages(labels_pdf([replace(label, caution=caution, **TREATED)]))
    assert len(printed) == 2
    assert "Cautions on the next label" in printed[0].text
    assert printed[1].text.count("Keep away") == 9
    assert label.number in printed[1].text


def test_a_second_print_says_that_it_is_one() -> None:
    assert "copy 2" in text_of(labels_pdf([replace(LOT, copy="copy 2")]))


def test_many_labels_are_one_document() -> None:
    assert len(pages(labels_pdf([LOT] * 7 + [BAG]), dpi=20)) == 8


def test_a_sample_tag_tells_a_grader_nothing_but_number_and_class() -> None:
    assert text_of(labels_pdf([TAG])) == "G03 navy G03 file sample"


@pytest.mark.outside(
    "ISO/IEC 15417:2007, annex A: the check character is the sum of each character's value times its place, the "
    "start character counting once, modulo 103 (values from memory: start C is 105, a pair of digits is its number)"
)
@pytest.mark.parametrize("digits", ["24100005", "00000000", "12345678"])
def test_the_check_character_is_the_weighted_sum_of_all(digits: str) -> None:
    code = bar_code(digits, 10)
    code.validate()
    code.encode()
    start, *pairs, check, _stop = code.encoded
    assert (start, pairs) == (105, [int(digits[at : at + 2]) for at in range(0, len(digits), 2)])
    assert check == (start + sum(place * value for place, value in enumerate(pairs, start=1))) % 103


@pytest.mark.outside("ISO/IEC 15417:2007: 11 modules a character, 13 for stop; ten quiet modules on either side")
def test_bars_of_eight_digits_are_as_wide_as_the_standard_makes_them() -> None:
    modules = 11 + 4 * 11 + 11 + 13
    assert bars_width("24100005") == pytest.approx((modules + 2 * QUIET_BARS) * BAR_MM)


def test_text_is_broken_between_words_and_a_long_word_within() -> None:
    lines = wrapped(f"treated with {'x' * 200}", 30, 8, BOLD)
    assert len(lines) > 5
    assert all(width_of(line, 8, BOLD) <= 30 for line in lines)
    assert "".join(lines).replace(" ", "") == "treatedwith" + "x" * 200


def test_no_text_is_smaller_than_anybody_reads() -> None:
    assert min(POINTS) >= 5.5


def test_the_label_file_has_a_row_for_each_label_and_no_formula() -> None:
    rows = label_file([LOT, replace(BIN, lines=("=1+1", "tare"))]).splitlines()
    assert rows[0].startswith("kind,width_mm,height_mm,number,digits,address,lines")
    assert "LotLabel,100,60,24-0016-5,2400165" in rows[1]
    assert "'=1+1 | tare" in rows[2]
