"""A blend's germination from its sources, exactly."""

from decimal import Decimal
from fractions import Fraction

import pytest

from grading.queries.germination import blend_forecast, forecast_of
from inventory.actions.blending import Blend, Part, blend
from inventory.rules.rounding import half_up
from tests.grading.station import NOW, Bench, season_of_lots, season_of_tests, station

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench() -> Bench:
    return station()


def test_a_blend_is_forecast_from_its_sources_by_exact_shares(bench: Bench) -> None:
    season_of_lots(bench)
    season_of_tests(bench)
    parts = (Part(lot="24-0016-5", loose="217"), Part(lot="25-0014-5", loose="300"))
    asked = Blend(parts=parts, place="A-01", spilled="0.5", at="2025-12-09")
    booked = blend(asked, station=bench.plant.station, by=bench.plant.line, now=NOW)
    forecast = forecast_of(booked.lots[0])
    assert forecast == Fraction(434 * 90 + 600 * 96, 1034)
    assert half_up(forecast, 1) == Decimal("93.5")


def test_an_untested_source_leaves_no_forecast(bench: Bench) -> None:
    [lot] = bench.lots("24-0016-5")
    assert blend_forecast({lot.pk: 434}, {}) is None
    assert forecast_of(lot) is None
