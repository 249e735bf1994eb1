"""Typed words into acts and figures, and back into what is typed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import pytest

from inventory.importing.words import as_typed, fill, pairs
from inventory.rules.mistakes import Refused


@dataclass(frozen=True, kw_only=True)
class PartAsked:
    """A part of what is asked."""

    screen: str
    weights_g: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class ListsAsked:
    """Lists, flat and nested."""

    parts: Sequence[PartAsked]
    readings: Sequence[Any] = ()
    rows: Sequence[Sequence[Any]] = ()
    is_kept: bool = False


WHOLE = {
    "parts": [{"screen": "12/64 x 3/4", "weights_g": {"splits": "0.3", "stones": "0"}}, {"screen": "pan"}],
    "readings": ["18.2", "18.1"], "rows": [["9", "2"], ["6", "1"]], "is_kept": True,
}  # fmt: skip


def readings(text: str) -> tuple[Any, ...]:
    return tuple(fill(ListsAsked, {"parts": WHOLE["parts"], "readings": text}).readings)


def refusal(**words: Any) -> str:
    with pytest.raises(Refused) as refused:
        fill(ListsAsked, {"parts": WHOLE["parts"], **words})
    [mistake] = refused.value.mistakes
    return mistake.says


def test_words_are_written_so_that_they_read_the_same_again() -> None:
    typed = as_typed(WHOLE)
    assert "parts.1.screen=12/64 x 3/4" in typed
    assert "parts.1.weights_g.splits=0.3" in typed
    assert fill(ListsAsked, pairs(typed)) == fill(ListsAsked, WHOLE)


@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("18,2; 18,1; 18,0", ("18,2", "18,1", "18,0")),
        ("18;2", ("18", "2")),
        ("a; b, c", ("a", "b", "c")),
        ("18.2,18.1", ("18.2", "18.1")),
        ("88,92,95,90", ("88", "92", "95", "90")),
        ("18, 2, 18, 1", ("18", "2", "18", "1")),
        ("1 000", ("1 000",)),
        ("2,1,2,1", ("2", "1", "2", "1")),
    ],
)
def test_commas_part_a_list_unless_semicolons_do(text: str, read: tuple[str, ...]) -> None:
    assert readings(text) == read


def test_a_list_that_alternates_as_decimal_commas_do_is_asked_back() -> None:
    assert refusal(readings="18,2,18,1,18,4,18,3") == (
        "Readings reads '18,2,18,1,18,4,18,3'. If commas are decimal signs, put semicolons between: 18,2; 18,1; 18,4; "
        "18,3. If it is a list of 8 numbers, put a blank behind each comma."
    )


def test_numbers_without_commas_are_told_to_take_some() -> None:
    assert refusal(readings="88 92 95 90").endswith("Put commas between the numbers: 88, 92, 95, 90.")


def test_a_missing_list_of_parts_says_how_its_first_part_is_typed() -> None:
    assert refusal(parts=None) == "Parts is missing. Give it as parts.1.screen=…"
