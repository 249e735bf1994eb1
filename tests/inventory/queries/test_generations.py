"""Generations and the generation book, over two seasons."""

from fractions import Fraction

import pytest

from inventory.models import Line, Plant, Plot
from inventory.queries.generations import generation_book, generation_of, generations_of
from tests.inventory.queries.seasons import Seasons, blended, sown, two_seasons
from tests.make import house, received

pytestmark = pytest.mark.django_db
F = Fraction


@pytest.fixture
def told() -> Seasons:
    return two_seasons()


def test_a_blend_of_two_seasons_shows_both_generations(told: Seasons) -> None:
    # The first block's harvest is declared F6; the second block was sown with it.
    blend = generation_of(told.blend)
    assert blend.mixture == {6: F(217, 517), 7: F(300, 517)}
    assert blend.words == "F6 217/517, F7 300/517"
    assert blend.heterozygosity == F(217, 517) / 32 + F(300, 517) / 64
    assert (generation_of(told.raw).words, generation_of(told.second).words) == ("F6", "F7")


def test_a_generation_said_with_a_delivery_holds_and_a_cross_gives_the_f1(told: Seasons) -> None:
    plant = told.plant
    bought = received(plant, "50", plots=(), sender="Over the Hill", their_lot="H-1", line="N-2", generation=4)
    f1 = received(plant, "0.2", plots=(), cross="C19-04")
    unknown = received(plant, "50", plots=(), sender="Over the Hill", their_lot="H-2", line="N-2")
    assert [generation_of(lot).words for lot in (bought, f1, unknown)] == ["F4", "F1", ""]
    assert generation_of(unknown).heterozygosity is None


def test_single_plants_keep_the_generation_of_their_plot() -> None:
    plant = house()
    plot = Plot.objects.get(code="ST24-N-1-1")
    Plant.objects.create(station=plant.station, plot=plot, number="P-1")
    assert generation_of(received(plant, "0.4", plots=(), plants=("P-1",))).words == "F6"


def test_a_plot_sown_from_two_generations_mixes_by_what_was_sown(told: Seasons) -> None:
    plot = sown(told.plant, told.small, "10", "ST25-I3", day="2025-05-26")
    sown(told.plant, told.second, "30", "ST25-I3", day="2025-05-27")
    assert generations_of("plot", [plot.pk])[plot.pk].mixture == {7: F(1, 4), 8: F(3, 4)}


def test_the_book_says_season_what_was_sown_how_and_what_it_became(told: Seasons) -> None:
    book = generation_book(Line.objects.get(name="N-1"), planned=10)
    rows = [(row.season_no, row.planned, row.plot, row.sown_from, row.how, row.generation.words) for row in book]
    assert rows == [
        (1, 10, "ST24-N-1-1", (), "", "F6"),
        (1, 10, "ST24-N-1-2", (), "", "F6"),
        (2, 10, "ST25-I1", (told.small.number,), "bulk", "F7"),
    ]


def test_the_book_tells_single_plants_from_rows(told: Seasons) -> None:
    plant = told.plant
    plot = Plot.objects.get(code="ST24-N-1-1")
    for number, is_row in (("P-1", False), ("P-2", True)):
        Plant.objects.create(station=plant.station, plot=plot, number=number, is_row=is_row)
        lot = received(plant, "0.4", plots=(), plants=(number,))
        sown(plant, lot, "0.1", f"ST25-{number}", day="2025-05-26")
    how = {row.plot: row.how for row in generation_book(Line.objects.get(name="N-1"))}
    assert (how["ST25-P-1"], how["ST25-P-2"]) == ("single plant", "plant to row")


def test_the_book_costs_no_more_queries_for_more_plots(told: Seasons, django_assert_max_num_queries) -> None:
    for index in range(10):
        sown(told.plant, told.small, "1", f"ST25-X{index}", day="2025-05-26")
    with django_assert_max_num_queries(9):
        assert len(generation_book(Line.objects.get(name="N-1"))) == 13


def test_blending_one_generation_keeps_it_pure(told: Seasons) -> None:
    both = blended(told.plant, {told.big: "50", told.small: "50"}, "100", day="2025-05-29")
    assert generation_of(both).mixture == {6: F(1)}
