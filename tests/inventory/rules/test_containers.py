"""Containers as people call them."""

import pytest

from inventory.rules.codes import CodeAmbiguous, CodeUnknown
from inventory.rules.containers import carry_words, read_container

KINDS = {"SB-07": "steel bin", "SB-08": "steel bin", "PB-08": "plastic box", "tote-12": "tote"}


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        ("SB-07", "SB-07"), ("sb7", "SB-07"), ("7", "SB-07"), ("bin 7", "SB-07"), ("bins 07", "SB-07"),
        ("box 8", "PB-08"), ("bin 8", "SB-08"), ("12", "tote-12"), ("Tote 12", "tote-12"), ("pb 8", "PB-08"),
    ],
)  # fmt: skip
def test_a_container_is_found_by_what_only_it_is_called(typed: str, code: str) -> None:
    assert read_container(typed, KINDS).value == code


def test_it_says_how_it_read_a_number_alone() -> None:
    assert [note.says for note in read_container("7", KINDS).notes] == ["Read '7' as SB-07."]


def test_it_asks_where_two_have_the_number() -> None:
    with pytest.raises(CodeAmbiguous, match="can be PB-08 or SB-08"):
        read_container("8", KINDS)


@pytest.mark.parametrize("typed", ["9", "tote 7", "", "bin", "7.5", "1e9", "bin 700000000"])
def test_it_does_not_guess_at_what_there_is_not(typed: str) -> None:
    with pytest.raises(CodeUnknown):
        read_container(typed, KINDS)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (("bin 7", "8", "9"), ("bin 7", "bin 8", "bin 9")),
        (("7", "8"), ("7", "8")),
        (("bin 7", "box 8", "9"), ("bin 7", "box 8", "box 9")),
        (("bin 7", "the blue one", "9"), ("bin 7", "the blue one", "9")),
        ((), ()),
    ],
)
def test_a_word_is_carried_to_the_numbers_behind_it(typed: tuple[str, ...], said: tuple[str, ...]) -> None:
    assert carry_words(typed) == said
