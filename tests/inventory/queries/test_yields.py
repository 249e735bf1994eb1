"""Yields of trial plots from the masses of their lots."""

from decimal import Decimal
from fractions import Fraction

import pytest

from inventory.actions.adjusting import Adjustment, adjust
from inventory.actions.reversing import reverse
from inventory.models import Identity, Plot
from inventory.queries.yields import trial_yields
from tests.grading.trials import deliver, plot, trial, weigh
from tests.make import NOW, House, house

pytestmark = pytest.mark.django_db


@pytest.fixture
def plant() -> House:
    plant = house()
    Plot.objects.all().update(is_block=True)  # the house's own plots are no trial
    return plant


def yields(plant, moisture="16"):
    return {each.plot.code: each.t_ha for each in trial_yields(plant.station, Decimal(moisture))[0]}


def left_out(plant):
    return trial_yields(plant.station, Decimal(16))[1]


def test_a_plot_gives_its_mass_per_area_at_the_stated_moisture(plant):
    trial(plant, "TA", 2024, {"N-1": ["4"]}, moisture="20")
    # 4 kg of 80 % dry matter from 10 m2: 4 t/ha as weighed, 3.2 t/ha dry.
    assert yields(plant, "20") == {"TA24-T101": 4}
    assert yields(plant, "0") == {"TA24-T101": Fraction(16, 5)}
    assert yields(plant, "16") == {"TA24-T101": Fraction(16, 5) / Fraction(84, 100)}


def test_plots_of_one_lot_share_it_by_their_field_weights(plant):
    for number, weight in (("1", "3"), ("2", "1")):
        plot(plant, f"TA24-T{number}01", "N-1", 2024, int(number))
        weigh(plant, f"TA24-T{number}01", weight)
    deliver(plant, ("TA24-T101", "TA24-T201"), "4.4", "2024-09-20")
    found = trial_yields(plant.station, Decimal(16))[0]
    assert [(each.plot.code, each.t_ha, each.is_shared_out) for each in found] == [
        ("TA24-T101", Fraction(33, 10), False), ("TA24-T201", Fraction(11, 10), False),
    ]  # fmt: skip


def test_plots_that_were_not_weighed_share_equally_and_say_so(plant):
    for number in ("1", "2"):
        plot(plant, f"TA24-T{number}01", "N-1", 2024, int(number))
    deliver(plant, ("TA24-T101", "TA24-T201"), "4", "2024-09-20")
    assert [(each.t_ha, each.is_shared_out) for each in trial_yields(plant.station, Decimal(16))[0]] == [
        (2, True), (2, True),
    ]  # fmt: skip


def test_an_adjustment_is_taken_in_and_what_was_taken_back_is_not(plant):
    plot(plant, "TA24-T101", "N-1", 2024, 1)
    lot = deliver(plant, ("TA24-T101",), "4", "2024-09-20")
    words = {"station": plant.station, "by": plant.records, "reason": "wrong tare", "now": NOW}
    adjust(Adjustment(lot=lot.number, mass="-0.5"), **words)
    assert yields(plant) == {"TA24-T101": Fraction(7, 2)}
    act = Identity.objects.get(lot=lot).operation
    adjusted = lot.entry_set.exclude(operation=act).get().operation
    for each in (adjusted, act):
        reverse(each, station=plant.station, by=plant.records, reason="no", now=NOW)
    assert yields(plant) == {}


def test_what_cannot_be_compared_is_left_out_with_its_reason(plant):
    plot(plant, "TA24-T101", "N-1", 2024, 1)
    plot(plant, "TA24-T102", "N-2", 2024, 1)
    deliver(plant, ("TA24-T102",), "4", "2024-09-20", moisture="")
    plot(plant, "TA24-T103", "N-1", 2024, 1, area="")
    deliver(plant, ("TA24-T103",), "4", "2024-09-20")
    assert left_out(plant) == {
        "TA24-T101": "no lot came in from it",
        "TA24-T102": "its lot has no moisture",
        "TA24-T103": "its area is not known",
    }


def test_more_plots_cost_no_more_queries(plant, django_assert_max_num_queries):
    trial(plant, "TA", 2024, {"N-1": ["4", "4.1"], "N-2": ["3.9", "4.0"]})
    with django_assert_max_num_queries(7):
        trial_yields(plant.station, Decimal(16))
