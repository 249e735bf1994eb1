"""What a scale types when its key is pressed."""

import pytest

from inventory.rules.mass import read_mass
from inventory.rules.mistakes import Mistake
from inventory.rules.scale import Overloaded, StillMoving, TaredByScale, read_sent


@pytest.mark.parametrize(
    ("typed", "mg", "unit"),
    [
        ("  842.0 kg", 842_000_000, "kg"),
        ("842,0", 842_000_000, "kg"),
        ("ST,GS,+ 12.42 lb", 5_633_617, "lb"),  # 12.42 × 453 592.37 mg, half up
        ("ST,GS,+00842.0kg", 842_000_000, "kg"),
        ("st, gs,   842.0 kg", 842_000_000, "kg"),
        ("GS,842.0 kg", 842_000_000, "kg"),
        ("ST,+842.0", 842_000_000, "kg"),
    ],
)
def test_a_scales_own_typing_is_read(typed: str, mg: int, unit: str) -> None:
    read = read_mass(typed, unit="kg", field="gross")
    assert (read.mg, read.unit) == (mg, unit)


def test_pounds_in_what_the_scale_sent_switch_the_unit_and_say_so() -> None:
    (note,) = read_mass("ST,GS,+ 12.42 lb", unit="kg", field="gross").notes
    assert note.says == "Read 12.42 as pounds, as it is written: 5.634 kg."


@pytest.mark.parametrize(
    ("typed", "mistake", "says"),
    [
        ("US,GS,+ 12.4 kg", StillMoving, "The scale was still moving at 12.4 kg."),
        ("OL,GS,+ ------ kg", Overloaded, "overloaded"),
        ("ST,NT,+ 12.4 kg", TaredByScale, "Gross reads 12.4 kg net"),
    ],
)
def test_what_the_scale_itself_doubts_is_refused(typed: str, mistake: type[Mistake], says: str) -> None:
    with pytest.raises(mistake, match=says):
        read_mass(typed, unit="kg", field="gross")


def test_a_net_weight_is_read_where_a_net_belongs() -> None:
    assert read_mass("ST,NT,+ 12.4 kg", unit="kg", field="net").mg == 12_400_000


@pytest.mark.parametrize("typed", ["842", "842.0 kg", "ST", "a, b", "", "STEEL, 4"])
def test_other_text_is_left_as_it_came(typed: str) -> None:
    assert read_sent(typed, field="gross") == typed
