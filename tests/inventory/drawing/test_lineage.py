"""Lineage as boxes: sources left of what came of them, arrows from side to side, long ones folded by year."""

import pytest

from inventory.drawing.lineage import ACROSS, BOX_HEIGHT, BOX_WIDTH, DOWN, Lineage, Step, Thing, lay_out


def drawn(text: str, *, most: int = 40, asked: str = "", years: dict[str, int] | None = None) -> Lineage:
    """Lay out "A>B, B>C"; a kind is a name's first letter."""
    steps = [Step(*pair.strip().split(">")) for pair in text.split(",")]
    names = dict.fromkeys(name for step in steps for name in (step.source, step.target))
    things = [Thing(name, name[0], year=(years or {}).get(name, 2024), is_asked=name == asked) for name in names]
    return lay_out(things, steps, most=most)


def columns(lineage: Lineage) -> dict[str, int]:
    return {box.thing.id: round(box.x / ACROSS) for box in lineage.boxes}


def test_every_source_stands_left_of_what_came_of_it() -> None:
    assert columns(drawn("A>B, B>C, A>C")) == {"A": 0, "B": 1, "C": 2}


def test_a_source_without_sources_stands_near_to_what_came_of_it() -> None:
    assert columns(drawn("A>B, B>C, D>C")) == {"A": 0, "B": 1, "D": 1, "C": 2}


def test_no_two_boxes_touch() -> None:
    lineage = drawn("A>B, A>C, A>D, B>E, C>E, D>F, G>F")
    places = [(box.x, box.y) for box in lineage.boxes]
    assert len(set(places)) == 7
    for x, y in places:
        beside = [other for at, other in places if at == x and other != y]
        assert all(abs(y - other) >= DOWN for other in beside)
    assert lineage.width == 2 * ACROSS + BOX_WIDTH
    assert lineage.height == 3 * DOWN + BOX_HEIGHT


def test_an_arrow_goes_from_the_right_side_of_its_source_to_the_left_side_of_its_target() -> None:
    [arrow] = drawn("A>B").arrows
    assert arrow.path.startswith(f"M{BOX_WIDTH:.1f} {BOX_HEIGHT / 2:.1f}C")
    assert arrow.path.endswith(f"{ACROSS:.1f} {BOX_HEIGHT / 2:.1f}")


def test_a_step_over_a_column_has_a_place_of_its_own_there_and_crosses_no_box() -> None:
    lineage = drawn("A>B, B>C, A>C")
    [middle] = [box.y for box in lineage.boxes if box.thing.id == "B"]
    [long] = [arrow for arrow in lineage.arrows if (arrow.step.source, arrow.step.target) == ("A", "C")]
    level = float(long.path.split("H")[0].split()[-1])
    assert abs(level - (middle + BOX_HEIGHT / 2)) >= DOWN


def test_boxes_are_ordered_so_that_arrows_do_not_cross() -> None:
    lineage = drawn("A>X, B>Y, X>E, Y>F")
    height = {box.thing.id: box.y for box in lineage.boxes}
    assert (height["A"] < height["B"]) == (height["X"] < height["Y"]) == (height["E"] < height["F"])


def test_past_its_most_boxes_those_of_one_kind_and_year_are_one() -> None:
    text = ", ".join(f"A>b{number}" for number in range(1, 6))
    lineage = drawn(text, most=4, asked="A", years={"b5": 2025})
    assert {box.thing.id: box.count for box in lineage.boxes} == {"A": 1, "4 bs of 2024": 4, "b5": 1}
    assert len(lineage.arrows) == 2


def test_what_was_asked_about_is_never_folded() -> None:
    lineage = drawn("A>b1, A>b2, A>b3", most=2, asked="b2")
    assert {box.thing.id for box in lineage.boxes} == {"A", "b2", "2 bs of 2024"}


def test_a_share_is_left_out_where_many_are_drawn_as_one() -> None:
    steps = [Step("A", f"b{number}", "50 %") for number in range(3)]
    things = [Thing("A", "lot"), *(Thing(f"b{number}", "bag") for number in range(3))]
    assert [arrow.step.words for arrow in lay_out(things, steps).arrows] == ["50 %"] * 3
    assert [arrow.step.words for arrow in lay_out(things, steps, most=2).arrows] == [""]


def test_nothing_but_the_thing_itself_is_one_box() -> None:
    lineage = lay_out([Thing("A", "lot", is_asked=True)], [])
    assert (lineage.width, lineage.height, len(lineage.arrows)) == (BOX_WIDTH, BOX_HEIGHT, 0)


@pytest.mark.parametrize("steps", ["A>B, B>A", "A>A, A>B"])
def test_it_ends_even_on_what_the_books_never_hold(steps: str) -> None:
    assert len(drawn(steps).boxes) == 2


def test_a_thousand_things_are_laid_out_at_once() -> None:
    lineage = drawn(", ".join(f"a{number}>a{number + 1}, a{number}>b{number}" for number in range(500)), asked="a0")
    assert len(lineage.boxes) > 40
    assert columns(lineage)["a0"] == 0
