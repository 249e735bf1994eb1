"""The ribbon's geometry, as numbers."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.drawing.ribbon import NARROWEST, WIDTH, Part, ribbon


def gone(mass: int) -> Part:
    return Part(mass, "gone", f"gone {mass}")


def left(mass: int) -> Part:
    return Part(mass, "left", f"left {mass}")


def test_bands_touch_and_keep_their_order() -> None:
    drawn = ribbon([gone(250), gone(250), left(500)])
    assert [(band.x, band.width) for band in drawn.bands] == [(0, 250), (250, 250), (500, 500)]


def test_what_is_unaccounted_comes_last_wherever_it_was_found() -> None:
    drawn = ribbon([Part(100, "unaccounted", "?"), gone(400), left(500)])
    assert [band.part.kind for band in drawn.bands] == ["gone", "left", "unaccounted"]


def test_a_part_too_thin_to_see_stands_beside_with_its_words() -> None:
    drawn = ribbon([gone(14), left(986)])
    assert [part.words for part in drawn.beside] == ["gone 14"]
    assert len(drawn.bands) == 1


def test_an_empty_lot_has_no_band_and_nothing_beside() -> None:
    drawn = ribbon([left(0)])
    assert (drawn.bands, drawn.beside, drawn.end) == ((), (), 0)


def test_lots_of_a_list_share_one_scale() -> None:
    assert ribbon([left(250)], whole=1000).end == 250


def test_a_promise_covers_no_more_than_what_is_left() -> None:
    drawn = ribbon([gone(500), left(500)], promised=900)
    assert (drawn.promised_x, drawn.promised_width) == (500, 500)


@given(st.lists(st.integers(0, 10**11), max_size=12), st.integers(0, 10**11))
def test_no_mass_is_lost_and_none_is_drawn_wider_than_the_page(masses: list[int], rest: int) -> None:
    parts = [*map(gone, masses), left(rest)]
    drawn = ribbon(parts)
    shown = [band.part.mass for band in drawn.bands] + [part.mass for part in drawn.beside]
    assert sorted(shown + [0] * (len(parts) - len(shown))) == sorted(part.mass for part in parts)
    assert drawn.end <= WIDTH + 1e-6
    assert all(band.width >= NARROWEST for band in drawn.bands)


@pytest.mark.parametrize(("width", "teeth"), [(100, 11), (5, 1)])
def test_the_saw_tooth_runs_under_the_whole_band(width: int, teeth: int) -> None:
    assert len(ribbon([left(width)], whole=1000).teeth.split()) in (teeth, 1)
