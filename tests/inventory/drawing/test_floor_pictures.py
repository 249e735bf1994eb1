"""The floor as squares and a trial as a map, as numbers."""

from inventory.drawing.floorplan import SIDE, Stand, by_name, filled, floorplan
from inventory.drawing.grid import HEAD, grid
from inventory.drawing.plotmap import STEP, Harvest, MapPlot, plotmap


def stand(code: str, kg: int, name: str = "rack", *, lots: int = 1, tested: int = 0) -> Stand:
    return Stand(code, name, kg * 1_000_000, lots if kg else 0, 0, tested, is_wet=False, is_held=False)


def plot(code: str, rep: int = 1, position: int = 1, trial: str = "T", harvest: Harvest = Harvest.OUT) -> MapPlot:
    return MapPlot(code, trial, rep, position, harvest)


def test_a_place_is_filled_as_high_as_its_kilograms_beside_the_fullest() -> None:
    full, half, empty = filled([stand("A", 100), stand("B", 50), stand("C", 0)])
    assert (full.top, full.height) == (0, SIDE)
    assert (half.top, half.height) == (SIDE / 2, SIDE / 2)
    assert (empty.top, empty.height) == (SIDE, 0)


def test_the_least_that_stands_somewhere_is_still_seen() -> None:
    assert filled([stand("A", 10_000), stand("B", 1)])[1].height == 5


def test_places_stand_under_their_names_in_the_order_of_their_codes() -> None:
    squares = filled([stand("T-1", 1, "tote bay"), stand("A-02", 1, "rack A"), stand("A-01", 0, "rack A")])
    assert [(name, [one.stand.code for one in found]) for name, found in by_name(squares)] == [
        ("rack A", ["A-01", "A-02"]), ("tote bay", ["T-1"]),
    ]  # fmt: skip
    assert [group.name for group in floorplan(squares).groups] == ["rack A", "tote bay"]


def test_the_ring_says_whether_all_some_or_none_was_tested() -> None:
    kinds = [stand("A", kg, lots=2, tested=tested).test_kind for kg, tested in ((1, 2), (1, 1), (1, 0), (0, 0))]
    assert kinds == ["all", "some", "none", ""]


def test_no_two_squares_of_a_grid_overlap_and_all_are_within_it() -> None:
    laid = grid([("one", list(range(5))), ("none", []), ("two", list(range(3)))], columns=2, step=10)
    corners = [(square.x, square.y) for group in laid.groups for square in group.squares]
    assert len(set(corners)) == len(corners) == 8
    assert (laid.width, laid.height) == (20, 2 * HEAD + 50)
    assert all(x + 10 <= laid.width and y + 10 <= laid.height for x, y in corners)
    assert [group.name for group in laid.groups] == ["one", "two"]


def test_a_trial_has_a_row_for_each_replicate_and_blocks_come_last() -> None:
    plots = [plot("I1", 0, 0, ""), plot("T202", 2, 2), plot("T201", 2, 1), plot("T101", 1, 1)]
    laid = plotmap(plots)
    assert [group.name for group in laid.groups] == ["T, rep 1", "T, rep 2", "blocks"]
    assert [[square.thing.code for square in group.squares] for group in laid.groups] == [
        ["T101"], ["T201", "T202"], ["I1"],
    ]  # fmt: skip
    assert [square.x for square in laid.groups[1].squares] == [0, STEP]


def test_an_empty_season_is_an_empty_map() -> None:
    assert plotmap([]).groups == ()
