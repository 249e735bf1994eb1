"""The typed words of a sowing plan: each entry with its lot or line, its plots, and seeds or grams for each plot."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from grading.queries.figures.enough import ALL, LEAVE, THE_STATIONS, USE, USE_OR_LEAVE, Terms
from grading.queries.figures.planting_words import counted
from grading.queries.on_hand import OnHand, lots_on_hand, seed_on_hand
from inventory.models import Station
from inventory.queries.finding import find_lot
from inventory.rules.gathering import Gathering
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import typed_text

MOST_ENTRIES = 2000


@dataclass(frozen=True, kw_only=True)
class EntryAsked:
    """One entry: a lot, or a line of which the first lot in the order of use is taken; the rest where it differs."""

    lot: Any = None
    line: Any = None
    plots: Any = None
    seeds: Any = None
    grams: Any = None
    seed_weight_g_per_100: Any = None
    germination_pct: Any = None


@dataclass(frozen=True, kw_only=True)
class PlanAsked:
    """Entries, and what holds for all of them: plots an entry, and plants or grams a plot."""

    entries: Sequence[EntryAsked]
    plots: Any = field(default="1", metadata={"looks": "plots an entry"})
    seeds: Any = field(default=None, metadata={"looks": "plants wanted a plot; germination is taken in"})
    grams: Any = field(default=None, metadata={"looks": "grams a plot, as they are"})
    emergence_pct: Any = None
    purity_pct: Any = None
    overage_pct: Any = "0"
    promised: Any = field(default=LEAVE, metadata=USE_OR_LEAVE)
    treated: Any = field(default=USE, metadata=USE_OR_LEAVE)
    seed: Any = field(default=ALL, metadata={"looks": "clean (out of a run or blend) or all"})
    least_germination_pct: Any = field(default=None, metadata=THE_STATIONS)
    on: Any = field(default=None, metadata={"looks": "the day, for promises and tests; without it today"})


@dataclass(frozen=True)
class Wanted:
    """One entry as it was read.

    Attributes:
        place: in the plan, from 1.
        name: the lot or line that was asked for.
        candidates: lots that it could be sown from.
        plots: how many.
        plants: wanted on each [1], or None where `grams` are given.
        grams: on each [g].
        weight_g: of 100 seeds, where the entry says it [g].
        germination: where the entry says it [1].
    """

    place: int
    name: str
    candidates: tuple[OnHand, ...]
    plots: int
    plants: Fraction | None
    grams: Fraction | None
    weight_g: Fraction | None
    germination: Fraction | None


def read_entries(words: Gathering, asked: PlanAsked, station: Station, terms: Terms) -> list[Wanted]:
    """Read all entries; each lot and line is looked up once."""
    if not 1 <= len(asked.entries) <= MOST_ENTRIES:
        says = f"There are {len(asked.entries)} entries. Give 1 to {MOST_ENTRIES}, such as entries.1.lot=24-0006-6."
        words.add(Mistake(says, field="entries"))
        return []
    lots = _lots(words, asked.entries, station, terms)
    lines = _lines(words, asked.entries, station, terms)
    read = [
        _wanted(words, asked, place, lots.get(place) or lines.get(typed_text(entry.line).strip(), ()))
        for place, entry in enumerate(asked.entries, 1)
    ]  # fmt: skip
    return [one for one in read if one is not None]


def _lots(
    words: Gathering, entries: Sequence[EntryAsked], station: Station, terms: Terms
) -> Mapping[int, tuple[OnHand, ...]]:  # fmt: skip
    """Look up the lots that are named, by the place of their entry."""
    numbers: dict[int, str] = {}
    for place, entry in enumerate(entries, 1):
        typed, where = typed_text(entry.lot).strip(), f"entries.{place}.lot"
        if bool(typed) == bool(typed_text(entry.line).strip()):
            words.add(Mistake(f"Entry {place} needs a lot or a line, one of them.", field=where))
        elif typed:
            found = words.attempt(lambda typed=typed, where=where: find_lot(station, typed, field=where))  # type: ignore[misc]
            numbers |= {place: found[0].number} if found else {}
    on_hand = lots_on_hand(station, numbers.values(), terms.today) if numbers else {}
    for place, number in numbers.items():
        if number not in on_hand:
            words.add(Mistake(f"{number} holds no seed. Use another lot.", field=f"entries.{place}.lot"))
    return {place: (on_hand[number],) for place, number in numbers.items() if number in on_hand}


def _lines(
    words: Gathering, entries: Sequence[EntryAsked], station: Station, terms: Terms
) -> Mapping[str, tuple[OnHand, ...]]:  # fmt: skip
    """Look up the lots of the lines that are named."""
    names = dict.fromkeys(name for entry in entries if (name := typed_text(entry.line).strip()))
    found = {name: words.attempt(lambda name=name: seed_on_hand(station, name, terms.today)) for name in names}  # type: ignore[misc]
    return {
        name: tuple(one for one in stands or () if one.is_clean or not terms.clean_only)
        for name, stands in found.items()
    }


def _wanted(
    words: Gathering, asked: PlanAsked, place: int, candidates: tuple[OnHand, ...]
) -> Wanted | None:  # fmt: skip
    entry, where = asked.entries[place - 1], f"entries.{place}"
    plots_word = _own(entry, asked, "plots", where)
    plots = words.whole(*plots_word, least=1, most=100_000)
    plants, grams = _each(words, asked, entry, where)
    weight = words.number(
        entry.seed_weight_g_per_100, f"{where}.seed_weight_g_per_100", unit="g", least="0.1", most=1000, needed=False
    )  # fmt: skip
    germination = words.number(
        entry.germination_pct, f"{where}.germination_pct", unit="%", least=1, most=100, needed=False
    )  # fmt: skip
    if plots is None or (plants is None and grams is None):
        return None
    name = typed_text(entry.line).strip() or typed_text(entry.lot).strip()
    left = None if germination is None else Fraction(germination) / 100
    return Wanted(place, name, candidates, plots, plants, grams, None if weight is None else Fraction(weight), left)


def _each(
    words: Gathering, asked: PlanAsked, entry: EntryAsked, where: str
) -> tuple[Fraction | None, Fraction | None]:  # fmt: skip
    """Read plants or grams of each plot: the entry's own word, else the plan's."""
    says_own = any(typed_text(one).strip() for one in (entry.seeds, entry.grams))
    given, field_ = (entry, f"{where}.") if says_own else (asked, "")
    both = [typed_text(one).strip() for one in (given.seeds, given.grams)]
    if bool(both[0]) == bool(both[1]):
        says = f"{where.replace('.', ' ').capitalize()} needs seeds or grams a plot, one of them."
        words.add(Mistake(says, field=f"{where}.seeds"))
        return None, None
    plants = words.number(counted(given.seeds), f"{field_}seeds", least=1, most=1_000_000, needed=False)
    grams = words.number(given.grams, f"{field_}grams", unit="g", least="0.01", most=100_000, needed=False)
    return None if plants is None else Fraction(plants), None if grams is None else Fraction(grams)


def _own(entry: EntryAsked, asked: PlanAsked, name: str, where: str) -> tuple[Any, str]:
    """Give the entry's own word with its field, or else the plan's."""
    own = getattr(entry, name)
    return (own, f"{where}.{name}") if typed_text(own).strip() else (getattr(asked, name), name)
