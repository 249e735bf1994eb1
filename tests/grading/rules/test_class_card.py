"""Class cards: their written form, and what is held against them."""

import json
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from grading.rules.class_card import ClassCard, Found, judge, word_mistakes
from grading.rules.class_card_form import read_class_card
from inventory.rules.mistakes import Refused

FOLDER = Path(__file__).parents[3] / "grading" / "class_cards"
SHIPPED = sorted(FOLDER.glob("*.json"))


def document(name: str = "QM-DEMO-NAVY") -> dict[str, Any]:
    read: dict[str, Any] = json.loads((FOLDER / f"{name}.json").read_text("utf-8"))
    return read


def navy() -> ClassCard:
    return read_class_card(document())


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_a_shipped_card_reads_and_says_that_it_is_invented(path: Path) -> None:
    card = read_class_card(json.loads(path.read_text("utf-8")))
    assert card.id == path.stem
    assert "invented" in card.source
    assert all(each.definition and each.borderline for each in card.looked_at)


def put(pointer: str, value: Any) -> Callable[[dict[str, Any]], None]:
    def change(card: Any) -> None:
        *floors, last = pointer.strip("/").split("/")
        for floor in floors:
            card = card[int(floor)] if isinstance(card, list) else card[floor]
        card[last] = value

    return change


def drop(name: str) -> Callable[[dict[str, Any]], None]:
    return lambda card: card.pop(name)


@pytest.mark.parametrize(
    ("change", "pointer", "says"),
    [
        (drop("source"), "/source", "is missing"),
        (put("/sorce", "x"), "/sorce", "Did you mean source?"),
        (put("/form", 2), "/form", "We read form 1"),
        (put("/classes", []), "/classes", "is empty"),
        (put("/looked_at", []), "/looked_at", "Name at least one"),
        (put("/id", "x" * 41), "/id", "has 41 signs; 40 fit"),
        (put("/looked_at/1/name", "ground_colour"), "/looked_at/1/name", "stands twice"),
        (put("/looked_at/0/enough", "pale"), "/looked_at/0/enough", "Give one of its words: bright white"),
        (put("/looked_at/0/best_first", ["white"]), "/looked_at/0/best_first", "two words or more"),
        (put("/looked_at/0/best_first", ["white", "White"]), "/looked_at/0/best_first", "each once"),
        (put("/looked_at/0/definition", ""), "/looked_at/0/definition", "is empty"),
        (put("/colour/lightness", "101"), "/colour/lightness", "from 0 to 100"),
        (put("/colour/a", "NaN"), "/colour/a", "from -128 to 127"),
        (put("/colour/b", 3), "/colour/b", "should be a text"),
        (put("/colour/within", "-1"), "/colour/within", "from 0 to 100"),
        (put("/colour/illuminant", "F11"), "/colour/illuminant", "Give A, C, D50"),
        (put("/colour/observer", "4"), "/colour/observer", "Give 2 or 10"),
        (put("/hundred_seeds_g/least", "23"), "/hundred_seeds_g/least", "Put the smaller one first"),
        (put("/hundred_seeds_g/most", "x"), "/hundred_seeds_g/most", "from 0 to 1000"),
        (put("/screens/held_on", []), "/screens/held_on", "Name at least one screen"),
        (put("/screens/least_pct", "120"), "/screens/least_pct", "from 0 to 100"),
    ],
)
def test_a_fault_is_named_at_its_pointer(change: Callable[[dict[str, Any]], Any], pointer: str, says: str) -> None:
    card = document()
    change(card)
    with pytest.raises(Refused) as refused:
        read_class_card(card)
    assert [(fault.field, says in fault.says) for fault in refused.value.mistakes] == [(pointer, True)]


@pytest.mark.parametrize("written", [None, [], "card", 3])
def test_what_is_no_card_is_said_so(written: object) -> None:
    with pytest.raises(Refused, match="Give an object"):
        read_class_card(written)


@pytest.mark.parametrize("word", ["bright white", "white"])
def test_a_word_down_to_the_last_that_is_enough_is_met(word: str) -> None:
    assert judge(navy(), Found({"ground_colour": word})).fell_short == ()


@pytest.mark.parametrize("word", ["off-white", "yellowed"])
def test_a_word_below_it_falls_short(word: str) -> None:
    result = judge(navy(), Found({"ground_colour": word}))
    assert result.fell_short == (f"Ground colour is {word}; wanted is bright white or white.",)


@pytest.mark.parametrize(
    ("found", "is_enough"),
    [
        ({"hundred_seeds_g": Decimal("17.0")}, True),
        ({"hundred_seeds_g": Decimal("22.0")}, True),
        ({"hundred_seeds_g": Decimal("16.9999")}, False),
        ({"hundred_seeds_g": Decimal("22.0001")}, False),
        ({"held_pct": Decimal("80.0")}, True),
        ({"held_pct": Decimal("79.99")}, False),
        ({"colour_away": Decimal("3.00")}, True),
        ({"colour_away": Decimal("3.01")}, False),
    ],
)
def test_both_ends_of_a_limit_are_good(found: dict[str, Decimal], is_enough: bool) -> None:
    result = judge(navy(), Found({}, **found))  # type: ignore[arg-type]
    assert (len(result.met), len(result.fell_short)) == ((1, 0) if is_enough else (0, 1))
    assert len(result.working) == 1


def test_all_is_said_to_be_not_looked_at_where_nothing_was() -> None:
    result = judge(navy(), Found({}))
    assert len(result.not_looked_at) == 6
    assert result.says[-1].startswith("Not looked at: ground colour, veining, wrinkling, colour")


def test_words_are_read_in_any_case_and_every_wrong_one_is_said() -> None:
    words, wrong = word_mistakes(navy(), {"Ground-Colour": "OFF WHITE", "shine": "dull", "veining": "some"})
    assert words == {"ground_colour": "off-white"}
    assert [mistake.field for mistake in wrong] == ["looks.shine", "looks.veining"]


def test_a_thing_said_twice_is_refused() -> None:
    _words, wrong = word_mistakes(navy(), {"veining": "none", "Veining": "faint"})
    assert [mistake.says for mistake in wrong] == ["Veining was said twice. Keep one of the two."]


@pytest.mark.parametrize("sign", ["\x00", "\ud800"])
def test_a_sign_that_no_book_holds_is_refused(sign: str) -> None:
    card = document()
    card["notes"] = [f"x{sign}"]
    with pytest.raises(Refused, match="a sign that cannot be kept"):
        read_class_card(card)
