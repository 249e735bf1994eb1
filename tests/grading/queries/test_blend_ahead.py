"""What a blend would be before it is made: the numbers of the season's own blend, and plain words where none are."""

from collections.abc import Sequence

import pytest

from grading.queries.blend_ahead import blend_ahead
from inventory.actions.holding import hold
from inventory.actions.treating import Treating, treat
from tests.grading.station import NOW, Bench, season_of_lots, season_of_samples, season_of_tests, station

pytestmark = pytest.mark.django_db
X1 = (("24-0016-5", 434_000_000), ("25-0014-5", 600_000_000))


@pytest.fixture
def bench() -> Bench:
    made = station()
    season_of_lots(made)
    return made


def foretold(parts: Sequence[tuple[str, int]] = X1, person: str = "") -> dict[str, str]:
    return {name: found for panel in blend_ahead("QM", parts, person) for name, found in panel.rows}


def test_germination_is_the_exact_mean_by_mass(bench: Bench) -> None:
    season_of_tests(bench)
    # 434 kg at 90 % and 600 kg at 96 %: (434 × 90 + 600 × 96) / 1,034 = 93.48
    assert foretold()["Germination"] == "✓ 93.5 %, 85 wanted (24-0016-5 90 %, 25-0014-5 96 %)"


def test_germination_under_the_threshold_is_marked(bench: Bench) -> None:
    season_of_tests(bench)
    assert foretold((("24-0023-0", 2), ("24-0021-7", 1)))["Germination"].startswith("✕")


def test_a_lot_that_was_not_tested_or_graded_is_named(bench: Bench) -> None:
    said = foretold()
    assert said["Germination"] == "not foretold: 24-0016-5 and 25-0014-5 have no valid test"
    assert "was never graded" in said["Grade"]


def test_the_grade_is_read_from_the_mix_under_the_lots_own_rules(bench: Bench) -> None:
    season_of_samples(bench)
    said = foretold()["Grade"]
    assert said.startswith("No. 1 (24-0016-5 No. 1, 25-0014-5 No. 1; ")


def test_a_poorer_lot_pulls_the_mix_down_and_the_limit_is_named(bench: Bench) -> None:
    season_of_samples(bench)
    better, worse = (foretold((("24-0016-5", share), ("24-0001-5", 100 - share)))["Grade"] for share in (99, 1))
    assert better.partition(" (")[0] != worse.partition(" (")[0]
    assert ", limit " in better + worse


def test_black_and_navy_have_no_grade_together(bench: Bench) -> None:
    season_of_samples(bench)
    said = foretold((("24-0016-5", 1), ("24-0021-7", 1)))["Grade"]
    assert said == "not foretold: its lots were graded as different classes or under different rules"


def test_a_lot_on_hold_or_treated_is_said_and_never_stops_the_page(bench: Bench) -> None:
    season_of_samples(bench)
    who = {"station": bench.plant.station, "now": NOW}
    hold(["24-0016-5"], by=bench.plant.bench, reason="odour", **who)
    treat(Treating(lot="25-0014-5", product="Coat", dose="1", caution="Gloves"), by=bench.plant.line, **who)
    said = blend_ahead("QM", X1)[0].rows
    assert any("on hold (odour)" in found for _name, found in said)
    assert any("25-0014-5 is treated" in found for _name, found in said)


@pytest.mark.parametrize("parts", [(), X1[:1], (("24-0016-5", 0), ("25-0014-5", 1)), (("nonsense", 1), ("24", 2))])
def test_fewer_than_two_known_lots_are_no_blend(bench: Bench, parts: Sequence[tuple[str, int]]) -> None:
    assert blend_ahead("QM", parts) == []
    assert blend_ahead("NO", X1) == []
