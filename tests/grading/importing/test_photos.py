"""Photographs: decoded and written anew, small and bare; what is none is refused with a sentence."""

import io

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from grading.importing.photos import LONGEST_SIDE, MOST_BYTES, small_photo
from inventory.rules.mistakes import Refused


def picture(width: int = 40, height: int = 30, *, kind: str = "JPEG", mode: str = "RGB", **more) -> bytes:
    out = io.BytesIO()
    Image.new(mode, (width, height), "tan" if mode == "RGB" else None).save(out, kind, **more)
    return out.getvalue()


def test_a_large_picture_is_kept_at_most_1600_pixels_a_side() -> None:
    small = small_photo(io.BytesIO(picture(4000, 3000)), "pan.jpg")
    assert (small.width, small.height) == (LONGEST_SIDE, 1200)
    assert Image.open(io.BytesIO(small.content)).format == "JPEG"


def test_a_small_one_is_not_blown_up() -> None:
    small = small_photo(io.BytesIO(picture()), "pan.jpg")
    assert (small.width, small.height) == (40, 30)


def test_place_time_and_telephone_are_dropped() -> None:
    exif = Image.Exif()
    exif[0x010F] = "a telephone of somebody"
    exif[0x8825] = {1: "N", 2: (44.0, 1.0, 2.0)}
    sent = picture(exif=exif)
    assert b"a telephone of somebody" in sent
    small = small_photo(io.BytesIO(sent), "pan.jpg")
    assert b"a telephone of somebody" not in small.content
    assert dict(Image.open(io.BytesIO(small.content)).getexif()) == {}


def test_a_picture_taken_sideways_is_turned_upright() -> None:
    exif = Image.Exif()
    exif[0x0112] = 6
    small = small_photo(io.BytesIO(picture(40, 30, exif=exif)), "pan.jpg")
    assert (small.width, small.height) == (30, 40)


@pytest.mark.parametrize("mode", ["RGBA", "P", "L", "1", "LA", "I;16"])
def test_pictures_of_other_kinds_of_colour_are_read(mode: str) -> None:
    small = small_photo(io.BytesIO(picture(kind="PNG", mode=mode)), "pan.png")
    assert Image.open(io.BytesIO(small.content)).mode == "RGB"


@pytest.mark.parametrize(("content", "says"), [
    (b"", "No photograph was chosen"),
    (b"GIF89a" + b"\0" * 40, "no JPEG or PNG picture"),
    (b"\xff\xd8\xff\xe0 not a photo", "no JPEG or PNG picture"),
    (b"\x89PNG\r\n\x1a\n", "no JPEG or PNG picture"),
    (picture()[:200], "no JPEG or PNG picture"),
    (picture(kind="GIF"), "no JPEG or PNG picture"),
    (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "no JPEG or PNG picture"),
    (b"\0" * (MOST_BYTES + 1), "a photograph may have 12"),
    (picture(9500, 9500, kind="PNG", mode="1"), "9500 × 9500 pixels"),
])  # fmt: skip
def test_what_is_no_photograph_is_refused_with_a_sentence(content: bytes, says: str) -> None:
    with pytest.raises(Refused, match=says):
        small_photo(io.BytesIO(content), "photo.jpg")


@given(st.binary(max_size=200), st.integers(0, 300))
def test_any_bytes_are_a_photograph_or_refused_and_never_a_fault(noise: bytes, at: int) -> None:
    whole = picture()
    spoiled = whole[:at] + noise + whole[at + len(noise) :]
    try:
        assert small_photo(io.BytesIO(spoiled), "x.jpg").content
    except Refused as refused:
        assert refused.mistakes[0].says.endswith(".")
