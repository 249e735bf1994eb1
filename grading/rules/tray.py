"""The tray in front of a grader: dishes in the order in which she laid them, each with one letter of its own."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from string import ascii_uppercase

from grading.rules.fit import dishes_of
from grading.rules.rule_set import COUNT, GROSS, RuleSet
from inventory.rules.mistakes import Mistake


class LetterTwice(Mistake):
    """One letter for two dishes."""

    code = "letter_twice"

    def __init__(self, letter: str, dishes: Sequence[str], field: str) -> None:
        super().__init__(f"{letter} stands for {' and for '.join(dishes)}. Give each its own letter.", field=field)


class NoLetter(Mistake):
    """Something that is no letter from A to Z."""

    code = "no_letter"

    def __init__(self, dish: str, typed: str, field: str) -> None:
        super().__init__(f"{dish.capitalize()}: {typed[:10]!r} is no letter. Give one from A to Z.", field=field)


@dataclass(frozen=True)
class Dish:
    """One dish of a tray.

    Attributes:
        name: of its factor in the rule set.
        words: as people read it.
        letter: the key that goes to it.
        is_counted: the rule set reads it by count.
        weighs_like_a_seed: pieces may stand for its weight through the 100-seed weight.
        in_pan: it came out of the portion, and counts where the pan is closed.
    """

    name: str
    words: str
    letter: str
    is_counted: bool
    weighs_like_a_seed: bool
    in_pan: bool


def tray_of(rule_set: RuleSet, order: Sequence[str] = (), letters: Mapping[str, str] | None = None) -> tuple[Dish, ...]:
    """Lay out the dishes of a rule set.

    Args:
        order: names in the order of the grader's own tray; what it does not name follows as the rule set lists it.
        letters: dish -> the letter she chose.
    """
    names = sorted(dishes_of(rule_set), key=lambda name: order.index(name) if name in order else len(order))
    words = {name: rule_set.factors[name].words for name in names}
    chosen = letters_of(words, letters or {})
    return tuple(
        Dish(
            name, words[name], chosen[name], rule_set.factors[name].taken_by == COUNT,
            rule_set.factors[name].weighs_like_a_seed, rule_set.factors[name].basis != GROSS,
        )
        for name in names
    )  # fmt: skip


def letters_of(words: Mapping[str, str], chosen: Mapping[str, str]) -> dict[str, str]:
    """Give each dish a letter: the chosen one, else the first of its words that is free, else any that is free.

    Args:
        words: dish -> as people read it.
        chosen: dish -> letter; a letter chosen twice is the first one's.
    """
    given: dict[str, str] = {}
    for name in words:
        letter = chosen.get(name, "").upper()
        if letter and letter not in given.values():
            given[name] = letter
    for name, said in words.items():
        if name not in given:
            given[name] = _first_free(_wished(said), given.values())
    return given


def letter_mistakes(words: Mapping[str, str], chosen: Mapping[str, str]) -> list[Mistake]:
    """Say what stands in the way of these letters."""
    wrong: list[Mistake] = []
    by_letter: dict[str, list[str]] = {}
    for name, typed in chosen.items():
        letter = typed.strip().upper()
        if letter and letter not in tuple(ascii_uppercase):
            wrong.append(NoLetter(words.get(name, name), typed, f"letter.{name}"))
        elif letter:
            by_letter.setdefault(letter, []).append(name)
    wrong += [
        LetterTwice(letter, [words.get(name, name) for name in names], f"letter.{names[-1]}")
        for letter, names in by_letter.items()
        if len(names) > 1
    ]
    return wrong


def _wished(words: str) -> Iterable[str]:
    """The letters a dish would like: the first of each word, then all of them."""
    said = words.upper()
    return [word[0] for word in said.split()] + [sign for sign in said if sign in ascii_uppercase]


def _first_free(wished: Iterable[str], taken: Iterable[str]) -> str:
    used = set(taken)
    return next(
        (letter for letter in (*wished, *ascii_uppercase) if letter in ascii_uppercase and letter not in used), ""
    )
