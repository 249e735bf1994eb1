"""A rule set in force: its factors, its tables of limits, and the names that a portion may read as."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from functools import cached_property

GROSS, CLEANED = "gross", "cleaned"
WEIGHT, COUNT, READING, PER_MASS = "weight", "count", "reading", "per_mass"
MOST, LEAST = "most", "least"
MARKET, SEED = "market", "seed"
MOISTURE = "moisture_pct"
READ, UNVERIFIED = "read", "unverified"
NIL = "nil"  # a limit of none at all: exactly nought, before anything is rounded


@dataclass(frozen=True, slots=True)
class Factor:
    """Something weighed in a dish, a total of such dishes, or a reading such as moisture.

    Attributes:
        name: snake_case of the trade words in the published table.
        words: as people read it.
        basis: what its per cent stands on, "cleaned" or "gross".
        dishes: the dishes it is made of; itself, if it is a dish.
        has_chance: false where single heavy pieces break the idea of equal pieces (stones).
        weighs_like_a_seed: a count may stand for its weight through the 100-seed weight.
        also_called: other names it is read by.
        taken_by: "weight"; "count" for pieces of all pieces; "reading" for what an instrument or a test says in per
            cent; "per_mass" for pieces in so many grams.
        parts: dish -> the part of it that counts, where that is not the whole [1].
        least_portion_g: the least portion it is read on, as written [g].
        is_least: its limits are the least that will do, such as a germination; else the most.
        reads: which reading it is, such as "moisture_pct", where it is taken by one.
        per_g: in how many grams its pieces are counted, as written [g], where it is taken so.
    """

    name: str
    words: str
    basis: str
    dishes: tuple[str, ...]
    has_chance: bool = True
    weighs_like_a_seed: bool = False
    also_called: tuple[str, ...] = ()
    taken_by: str = WEIGHT
    parts: Mapping[str, Fraction] = field(default_factory=dict)
    least_portion_g: str | None = None
    is_least: bool = False
    reads: str = MOISTURE
    per_g: str | None = None

    @property
    def is_dish(self) -> bool:
        """Whether it is weighed or counted, not summed and not read off."""
        return self.dishes == (self.name,) and not self.is_read_off

    @property
    def is_read_off(self) -> bool:
        """Whether it stands by itself and is no share of what lay in the pan: a reading, or pieces in so many grams."""
        return self.taken_by in (READING, PER_MASS)

    @property
    def unit(self) -> str:
        """What its numbers are: "%", "per kg" or "in 45359.237 g"."""
        if self.taken_by != PER_MASS:
            return "%"
        return "per kg" if self.per_g == "1000" else f"in {self.per_g} g"


@dataclass(frozen=True, slots=True)
class Judged:
    """Something a grader judges by eye in ordered words, the best first."""

    name: str
    words: str
    best_first: tuple[str, ...]
    source: str

    def meets(self, seen: str, wanted: str) -> bool:
        """Say whether what was seen is at least as good as what is wanted."""
        return self.best_first.index(seen) <= self.best_first.index(wanted)


@dataclass(frozen=True, slots=True)
class Grade:
    """One row of a table.

    Attributes:
        name: as printed.
        limits: factor -> the most [%, or pieces in so many grams], or the least, as written, whose decimals are the
            rule's precision; or "nil", none at all.
        needs: judged thing -> the least good word that will do.
    """

    name: str
    limits: Mapping[str, str]
    needs: Mapping[str, str]

    @property
    def figures(self) -> Mapping[str, str]:
        """The limits that are figures: a chance cannot be held against none at all."""
        return {factor: limit for factor, limit in self.limits.items() if limit != NIL}


@dataclass(frozen=True, slots=True)
class Allowance:
    """So much of a dish that some classes may hold beside what their totals allow.

    Attributes:
        classes: whose allowance it is, names folded.
        dish: of what.
        up_to: how much is left out of the totals [%], as written.
        not_counted_in: the totals that leave it out.
    """

    classes: tuple[str, ...]
    dish: str
    up_to: str
    not_counted_in: tuple[str, ...]
    source: str


@dataclass(frozen=True, slots=True)
class Table:
    """The grades of one class, in the order in which the source lists them."""

    class_name: str
    applies_to: tuple[str, ...]
    table: str
    class_in_name: bool
    grades: tuple[Grade, ...]
    least_portion_g: str | None = None
    allowances: tuple[Allowance, ...] = ()


@dataclass(frozen=True, slots=True)
class Addition:
    """A word added to the grade's name when the moisture or a factor reads over a limit."""

    word: str
    reading: str
    over: str
    retest_within: str | None
    source: str


@dataclass(frozen=True, slots=True)
class Instead:
    """A name that stands instead of any grade when a factor reads over a limit."""

    factor: str
    over: str
    name: str
    source: str


@dataclass(frozen=True, slots=True)
class ClassChange:
    """A factor that makes the beans another class when it reads over a limit.

    Attributes:
        classes: the classes it is said of, names folded; empty for all but the one it makes.
        makes: the class; graded by its own table where there is one, else named and not graded.
    """

    factor: str
    over: str
    makes: str
    classes: tuple[str, ...]
    source: str


@dataclass(frozen=True, slots=True)
class Stop:
    """A finding that ends grading; `name` is None where no source names the outcome."""

    finding: str
    name: str | None
    source: str


@dataclass(frozen=True, slots=True)
class DockageRule:
    """How dockage is read, and the least sample it is taken from [g]."""

    read_to: str
    least_g: str | None
    source: str


@dataclass(frozen=True, eq=False)
class RuleSet:
    """A dated edition of published or local tables of limits by class and grade.

    Attributes:
        standing: "read" in its source, or "unverified": never chosen on its own, and every answer under it says so.
        below_last: the name of what qualifies for no row.
        further_below: names below that one, the nearest first, each with the factor and the limit it lies over.
        purpose: "market", or "seed": a grade of seed for sowing, which has to be named too.
        rounds: a per cent is rounded as its limit is written before the two are compared; else they are compared as
            they are, because the source has no rule for rounding.
    """

    id: str
    title: str
    edition: str
    in_force_from: date | None
    in_force_until: date | None
    source: str
    notes: tuple[str, ...]
    name_order: tuple[str, ...] | None
    parts_read_to: str
    factors: Mapping[str, Factor]
    judged: Mapping[str, Judged]
    dockage: DockageRule
    additions: tuple[Addition, ...]
    instead: tuple[Instead, ...]
    below_last: str
    stops: Mapping[str, Stop]
    tables: tuple[Table, ...]
    standing: str = READ
    class_changes: tuple[ClassChange, ...] = ()
    further_below: tuple[Instead, ...] = ()
    rounds: bool = True
    purpose: str = MARKET

    @property
    def is_for_seed(self) -> bool:
        """Whether its grades are of seed for sowing: they are named, and everything that they ask has to be given."""
        return self.purpose == SEED

    @property
    def is_verified(self) -> bool:
        """Whether its tables were read in their source."""
        return self.standing != UNVERIFIED

    def is_in_force(self, on: date) -> bool:
        """Say whether this edition was in force on a day; both ends of its dates count."""
        begins, ends = self.in_force_from or date.min, self.in_force_until or date.max
        return begins <= on <= ends

    @cached_property
    def factor_by_any_name(self) -> Mapping[str, Factor]:
        """Every name a factor is read by."""
        return {name: factor for factor in self.factors.values() for name in (factor.name, *factor.also_called)}

    @cached_property
    def table_by_class(self) -> Mapping[str, tuple[str, Table]]:
        """Every class name, folded -> the name as we write it, and its table."""
        return {
            folded_class(name): (name, table) for table in self.tables for name in (table.class_name, *table.applies_to)
        }

    @property
    def classes(self) -> tuple[str, ...]:
        """All class names, printed ones and those they apply to."""
        return tuple(name for name, _ in self.table_by_class.values())


def folded_class(name: str) -> str:
    """Fold a class name so that "pinto_beans", "Pinto bean" and " PINTO " are one."""
    words = name.casefold().replace("_", " ").replace("-", " ").split()
    return " ".join(words[:-1] if len(words) > 1 and words[-1] in ("bean", "beans") else words)
