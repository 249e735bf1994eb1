"""How graders who give words agree: two by Cohen's kappa, many by Fleiss'."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from grading.queries.figures.figure import Answer, Figure
from grading.queries.figures.given import given
from grading.queries.figures.tables import NotATable, read_counts
from grading.stats.kappa import WEIGHTS, Kappa, cohen
from grading.stats.many_graders import ManyGraders, fleiss
from inventory.models import Station
from inventory.rules.gathering import Gathering
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import listed, plain, typed_text

RARE = "With a rare word kappa is low although agreement is high: look at both, and at the counts."
UNDEFINED = "Kappa is not defined: both always said the same word, so nothing was left to chance."
MOST_WORDS = 40


@dataclass(frozen=True, kw_only=True)
class KappaAsked:
    """A table of pairs (rows the first grader), or the words of both, sample by sample.

    `words` names them in their order, which weights need; left out, it is the order in which they appear.
    """

    table: Sequence[Sequence[Any]] = ()
    first: Sequence[Any] = ()
    second: Sequence[Any] = ()
    words: Sequence[Any] = ()
    weights: str = field(default="none", metadata={"looks": listed(list(WEIGHTS))})
    level_pct: Any = "95"


@dataclass(frozen=True, kw_only=True)
class ManyGradersAsked:
    """For each sample how many graders gave each word."""

    counts: Sequence[Sequence[Any]]


class NotPaired(Mistake):
    """Two graders' words that do not stand side by side."""

    code = "not_paired"


def kappa(asked: KappaAsked, _station: Station | None = None) -> Answer:
    """Answer how two graders agree.

    Raises:
        Refused: no square table of counts, words that do not pair, one word only, or a level outside its range.
    """
    words = Gathering()
    weights = words.word(asked.weights, "weights", list(WEIGHTS), default="none")
    level = words.number(asked.level_pct, "level_pct", unit="%", least=50, most="99.9")
    if asked.table:
        table, names = read_counts(words, asked.table, "table"), [plain(typed_text(one)) for one in asked.words]
        _check_square(words, table, names)
    else:
        table, names = _paired(words, asked)
    words.finish()
    found = cohen(table, weights, float(given(level)) / 100)
    return Answer(_kappa_values(found, table, names), _kappa_says(found), found.working, (RARE,))


def many_graders(asked: ManyGradersAsked, _station: Station | None = None) -> Answer:
    """Answer how many graders agree.

    Raises:
        Refused: fewer than two samples, words or graders, rows that do not add up alike, or counts with decimals.
    """
    words = Gathering()
    counts = read_counts(words, asked.counts, "counts")
    if not words.mistakes:
        words.add(*_many_mistakes(counts))
    words.finish()
    found = fleiss(counts)
    return Answer(_many_values(found), _many_says(found), found.working, (RARE,))


def _check_square(words: Gathering, table: Sequence[Sequence[int]], names: Sequence[str]) -> None:
    wide = len(table[0]) if table else 0
    if not words.mistakes and (len(table) < 2 or wide != len(table)):
        shape = f"The table has rows: {len(table)}, columns: {wide}."
        words.add(NotATable(f"{shape} Give as many rows as columns, one for each word, two or more.", field="table"))
    elif len(table) > MOST_WORDS:
        words.add(NotATable(f"There are {len(table)} words. Give {MOST_WORDS} at most.", field="table"))
    elif not words.mistakes and not any(map(any, table)):
        words.add(NotATable("The table holds no pair. Count how often each two words were given.", field="table"))
    if names and len(names) != len(table):
        says = f"{len(names)} words are named, the table has {len(table)} rows. Name one for each."
        words.add(NotATable(says, field="words"))


def _paired(words: Gathering, asked: KappaAsked) -> tuple[list[list[int]], list[str]]:
    """Count pairs of words."""
    first, second = ([plain(typed_text(one)) for one in given_words] for given_words in (asked.first, asked.second))
    if len(first) != len(second) or not first:
        says = f"The first grader gave {len(first)} words, the second {len(second)}. Give both a word for each sample."
        words.add(NotPaired(says, field="second" if first else "first"))
        return [], []
    names = [plain(typed_text(one)) for one in asked.words] or list(dict.fromkeys((*first, *second)))
    for who, said in (("first", first), ("second", second)):
        for place, one in enumerate(said, 1):
            if one not in names:
                words.add(NotPaired(f"{one!r} is none of {listed(names)}. Name it in words.", field=f"{who}.{place}"))
    if len(names) < 2:
        says = f"Only {names[0]!r} was said. Kappa compares two words or more: name all that could be said."
        words.add(NotPaired(says, field="words"))
    if len(names) > MOST_WORDS:
        words.add(NotPaired(f"There are {len(names)} words. Give {MOST_WORDS} at most.", field="words"))
    pairs = Counter(zip(first, second, strict=True))
    return [[pairs[row, column] for column in names] for row in names], names


def _many_mistakes(counts: Sequence[Sequence[int]]) -> list[Mistake]:
    if len(counts) < 2 or len(counts[0]) < 2:
        wide = len(counts[0]) if counts else 0
        says = f"Samples: {len(counts)}, words: {wide}. Give two or more of both."
        return [NotATable(says, field="counts")]
    sums = [sum(row) for row in counts]
    wrong = [
        NotATable(
            f"Sample {place} was judged {one} times, sample 1 {sums[0]} times. All need the same number of graders.",
            field=f"counts.{place}",
        )
        for place, one in enumerate(sums, 1)
        if one != sums[0]
    ]
    if sums[0] < 2 and not wrong:
        says = f"Each sample was judged {sums[0]} times. Agreement needs two graders or more."
        return [NotATable(says, field="counts")]
    return list(wrong)


def _number(value: float | None, digits: int = 4) -> float | None:
    return None if value is None else round(value, digits)


def _kappa_values(found: Kappa, table: Sequence[Sequence[int]], names: Sequence[str]) -> dict[str, Any]:
    return {
        "kappa": _number(found.estimate), "low": _number(found.low), "high": _number(found.high),
        "se": _number(found.se, 5), "se_if_chance": _number(found.se_if_chance, 5),
        "agreement_found": _number(found.observed, 5), "agreement_by_chance": _number(found.expected, 5),
        "same": found.same, "pairs": found.n, "table": [list(row) for row in table], "words": list(names),
        "method": found.method,
    }  # fmt: skip


def _kappa_says(found: Kappa) -> tuple[str, ...]:
    counted = f"They gave the same word for {found.same} of {found.n} samples ({100 * found.same / found.n:.1f} %)."
    if found.estimate is None or found.low is None or found.high is None:
        return (counted, UNDEFINED)
    level = f"{found.level * 100:g} in 100"
    return (counted, f"Kappa is {found.estimate:.2f}, likely {found.low:.2f} to {found.high:.2f} ({level}).")


def _many_values(found: ManyGraders) -> dict[str, Any]:
    return {
        "kappa": _number(found.estimate), "se_if_chance": _number(found.se_if_chance, 5),
        "p_if_chance": _number(found.p_if_chance, 5), "kappa_of_word": [_number(one) for one in found.of_word],
        "agreement_found": _number(found.observed, 5), "agreement_by_chance": _number(found.expected, 5),
        "share_of_word": [_number(one, 5) for one in found.shares], "samples": found.n, "graders": found.graders,
        "method": found.method,
    }  # fmt: skip


def _many_says(found: ManyGraders) -> tuple[str, ...]:
    counted = (
        f"Two graders of {found.graders} gave the same word {100 * found.observed:.1f} times in 100, "
        f"over {found.n} samples; by chance {100 * found.expected:.1f} times."
    )
    if found.estimate is None or found.se_if_chance is None:
        return (counted, UNDEFINED.replace("both", "all"))
    says = f"Kappa over all words is {found.estimate:.3f}; chance alone would scatter it by {found.se_if_chance:.3f}."
    return (counted, says)


FIGURES = (
    Figure(
        "kappa", "How two graders who give words agree beyond chance, with a likely range.",
        KappaAsked, kappa, {"table": [["20", "5"], ["10", "15"]]},
    ),
    Figure(
        "many graders", "How more than two graders who give words agree beyond chance.",
        ManyGradersAsked, many_graders, {"counts": [["3", "0"], ["2", "1"], ["0", "3"]]},
    ),
)  # fmt: skip
