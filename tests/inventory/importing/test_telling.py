"""What acts ask for, told from their own dataclasses."""

import pytest

from inventory.importing.acts import ACTS, all_acts
from inventory.importing.telling import tell, tell_short
from inventory.importing.words import fill
from inventory.rules.mistakes import Refused


@pytest.mark.parametrize("verb", all_acts())
def test_what_is_told_as_needed_is_what_a_sender_of_nothing_is_asked_for(verb: str) -> None:
    kind = all_acts()[verb].words
    needed = {name.split(".")[0] for name, shape in tell(kind) if shape.startswith("needed") and "." not in name}
    starred = {name.removesuffix("*") for name in tell_short(kind).split(", ") if name.endswith("*")}
    try:
        fill(kind, {})
        asked: set[str] = set()
    except Refused as refused:
        asked = {mistake.field for mistake in refused.mistakes}
    assert starred == asked
    assert needed <= asked


def test_parts_of_a_list_are_told_as_they_are_typed() -> None:
    told = dict(tell(ACTS["run"].words))
    assert told["outs.1.mass"] == "needed; a weight, such as 842, or 842 kg"
    assert told["taken_off.NAME"] == "a weight under each name"
    assert told["is_cleaned_out"] == "yes or no; without it yes"


def test_a_part_that_stands_alone_is_told_field_by_field() -> None:
    from grading.queries.figures.colours import TwoColours  # noqa: PLC0415 - one nested dataclass to tell

    told = dict(tell(TwoColours))
    assert told["reference.illuminant"].startswith("the light, such as D65")
    assert "sample.lightness" in told
