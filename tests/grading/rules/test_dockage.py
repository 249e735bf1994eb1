"""Dockage on the gross weight, factors on the cleaned one."""

from decimal import Decimal

import pytest

from grading.rules.dockage import dockage, portion_mistakes
from grading.rules.mistakes import DockageHeavierThanGross


@pytest.mark.outside(
    "Canadian Grain Commission, Official Grain Grading Guide, 19 Beans, 'Determination of dockage': on gross, "
    "to 0.1 %. The guide prints no example; the figures are worked by hand (13/1040 = 1.25 % exactly, a tie)"
)
@pytest.mark.parametrize(
    ("gross", "off", "reads"),
    [("1000.0", "12.4", "1.2"), ("1000.0", "12.5", "1.3"), ("1040.0", "13.0", "1.3"), ("1000", "0", "0.0")],
)
def test_it_is_read_on_gross_to_the_nearest_tenth(gross, off, reads):
    assert str(dockage(Decimal(gross), Decimal(off)).read_pct) == reads


def test_what_is_left_is_the_cleaned_weight_that_factors_stand_on():
    result = dockage(Decimal("1000.0"), Decimal("46.0"), "0.01")
    assert (str(result.read_pct), result.cleaned_g) == ("4.60", Decimal("954.0"))


@pytest.mark.parametrize(("gross", "off"), [("10", "10"), ("10", "11"), ("0", "0")])
def test_it_refuses_to_take_off_all_there_is(gross, off):
    with pytest.raises(DockageHeavierThanGross, match="leaves no beans"):
        dockage(Decimal(gross), Decimal(off))


@pytest.mark.parametrize(
    ("portion", "gross", "off", "says"),
    [
        ("0", None, None, "portion weighs 0 g"),
        ("10", "10", "12", "leaves no beans"),
        ("955", "1000", "46", "more than the cleaned 954 g"),
        ("954", "1000", "46", None),
        ("500", None, None, None),
    ],
)
def test_a_portion_must_have_come_out_of_its_sample(portion, gross, off, says):
    weights = [None if word is None else Decimal(word) for word in (gross, off)]
    found = portion_mistakes(Decimal(portion), *weights)
    assert [says in mistake.says for mistake in found] == ([True] if says else [])
