"""Areas as people write them."""

from decimal import Decimal

import pytest

from inventory.rules.area import AreaUnitUnknown, AreaUnlikely, read_area
from inventory.rules.mistakes import Mistake


@pytest.mark.outside(
    "SI Brochure (BIPM, 9th ed. 2019), table 8: 1 ha = 10^4 m²; NIST Handbook 44 (2024), appendix C: acre"
)
@pytest.mark.parametrize(
    ("typed", "square_metres"),
    [
        ("1 ha", "10000.00"),  # SI Brochure (BIPM, 9th ed. 2019), table 8: 1 ha = 10^4 m²
        ("1 acre", "4046.86"),  # NIST Handbook 44 (2024), appendix C: 1 international acre = 4,046.856 m²
    ],
)
def test_a_unit_of_area_is_what_its_table_says(typed, square_metres):
    assert read_area(typed) == Decimal(square_metres)


@pytest.mark.parametrize(
    ("typed", "square_metres"),
    [
        ("14.4", "14.40"), (14.4, "14.40"), ("14,4 m²", "14.40"), ("0.28 ha", "2800.00"), ("0,31ha", "3100.00"),
        ("2 sq m", "2.00"),
    ],
)  # fmt: skip
def test_an_area_is_read_as_it_is_written(typed, square_metres):
    assert read_area(typed) == Decimal(square_metres)


def test_a_number_without_a_unit_takes_the_one_of_its_column():
    assert read_area("0.5", unit="ha") == 5000


@pytest.mark.parametrize(
    ("typed", "kind", "says"),
    [
        ("3 rods", AreaUnitUnknown, "Area is in 'rods'. Write m2, ha or ac behind the number."),
        ("0", AreaUnlikely, "Area 0.0 m2 is no plot's"),
        ("280 ha", AreaUnlikely, "Area 280.0 ha is no plot's"),
        ("-3 m2", AreaUnlikely, "Area -3.0 m2 is no plot's"),
    ],
)  # fmt: skip
def test_an_area_no_plot_has_is_refused_in_the_persons_numbers(typed, kind, says):
    with pytest.raises(kind) as refusal:
        read_area(typed)
    assert refusal.value.says.startswith(says)


@pytest.mark.parametrize("typed", ["", None, "much", "ha", "1.2.3 ha", "∞", "9" * 99])
def test_what_is_no_area_is_a_sentence_and_never_a_crash(typed):
    with pytest.raises(Mistake):
        read_area(typed)
