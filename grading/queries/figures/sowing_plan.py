"""A sowing plan: what each entry takes from which lot, with germination taken in, and whether there is enough."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil
from typing import Any

from grading.queries.figures.enough import notes_of, read_terms, source_of
from grading.queries.figures.figure import Answer, Figure
from grading.queries.figures.planting_words import read_losses
from grading.queries.figures.size_figures import shown, shown_plain
from grading.queries.figures.sowing_words import PlanAsked, Wanted, read_entries
from grading.queries.on_hand import OnHand
from grading.queries.sizes import newest_seed_weight
from inventory.models import Station
from inventory.rules.gathering import Gathering
from inventory.rules.mass import MG_PER_G, kg_text, kg_words
from inventory.rules.mistakes import Mistake
from inventory.rules.planting import Losses, grams_for, seeds_for
from inventory.rules.rounding import half_up
from inventory.rules.seed_use import ORDER, SOURCE, Source, in_order
from inventory.rules.working import Step

NO_SOURCE = "common practice, no source"
PLACES = 2  # of the grams of a plot: what a balance for envelopes shows


@dataclass(frozen=True)
class Each:
    """What one plot takes of a lot.

    Attributes:
        seeds: with germination taken in; None where grams were given.
        grams: rounded to what is weighed [g].
        formula: how it was worked out.
    """

    seeds: Fraction | None
    grams: Fraction
    formula: str


@dataclass(frozen=True)
class Packed:
    """One entry with its seed.

    Attributes:
        wanted: the entry.
        lot: that it is sown from; None where none holds enough of it.
        each: what a plot takes.
        short_mg: what is missing on the lot that comes nearest [mg].
        why: what stands in the way, "" where nothing does.
    """

    wanted: Wanted
    lot: OnHand | None
    each: Each | None
    short_mg: int = 0
    why: str = ""

    @property
    def mg(self) -> int:
        """What all its plots take [mg]."""
        return int(self.each.grams * MG_PER_G) * self.wanted.plots if self.each else 0


def sowing_plan(asked: PlanAsked, station: Station | None) -> Answer:
    """Answer what a sowing plan takes from which lots, and whether that is enough.

    Raises:
        Refused: an entry that cannot be read, or whose lot was never weighed or tested where seeds are counted.
    """
    words = Gathering()
    if station is None:
        words.add(Mistake("Lots are looked up at a station. Name the station.", field="entries"))
        words.finish()
        raise AssertionError("finish() lets no missing station through")
    terms = read_terms(words, asked, station)
    losses = read_losses(words, None, asked.emergence_pct, asked.purity_pct, asked.overage_pct)
    entries = read_entries(words, asked, station, terms) if terms else []
    words.finish()
    if terms is None or losses is None:
        raise AssertionError("finish() lets nothing unread through")
    taken: dict[str, int] = {}
    packed: list[Packed] = []
    for wanted in entries:
        sources = [source_of(one, terms) for one in wanted.candidates]
        one = words.attempt(lambda w=wanted, s=sources: _pack(w, s, taken, losses))  # type: ignore[misc]
        packed += [one] if one else []
        if one and one.lot:
            taken[one.lot.lot] = taken.get(one.lot.lot, 0) + one.mg
    words.finish()
    used = {one.lot.lot: one.lot for one in packed if one.lot}
    return _answer(packed, taken, used, notes_of(list(used.values()), terms))


def _pack(wanted: Wanted, sources: Sequence[Source], taken: Mapping[str, int], losses: Losses) -> Packed:
    """Take the first lot in the order of use that holds all that the entry's plots take: no entry is of two lots."""
    left = [replace(one, free_mg=max(0, one.free_mg - taken.get(one.lot, 0))) for one in sources]
    by_lot = {one.lot: one for one in wanted.candidates}
    nearest: Packed | None = None
    for source in in_order(left):
        packed = Packed(wanted, by_lot[source.lot], _each(wanted, by_lot[source.lot], losses))
        if packed.mg <= source.free_mg:
            return packed
        short = packed.mg - source.free_mg
        why = f"{source.lot} has {kg_words(source.free_mg)} kg for it, {kg_words(short)} kg too little"
        if nearest is None or short < nearest.short_mg:
            nearest = replace(packed, lot=None, short_mg=short, why=why)
    reasons = [f"{one.lot}: {one.barred or 'all of it goes to entries before'}" for one in left]
    return nearest or Packed(wanted, None, None, why="; ".join(reasons) or "none is in store")


def _each(wanted: Wanted, lot: OnHand, losses: Losses) -> Each:
    """Work out what a plot takes of a lot.

    Raises:
        Mistake: its seeds were never weighed, or never tested, and the entry does not say it.
    """
    if wanted.plants is None:
        grams = Fraction(half_up(wanted.grams or Fraction(0), PLACES))
        return Each(None, grams, f"{shown_plain(grams)} g a plot as given")
    weight, of_lot = (wanted.weight_g, "") if wanted.weight_g else _weight(lot, wanted.place)
    germination = wanted.germination or _germination(lot, wanted.place)
    lost = replace(losses, germination=germination)
    seeds = seeds_for(wanted.plants, lost)
    exact = grams_for(seeds, weight, lost)
    over = f" × (1 + {shown_plain(lost.overage)})" if lost.overage else ""
    formula = (
        f"{shown_plain(wanted.plants)} plants / ({shown_plain(germination)} × {shown_plain(lost.emergence)}){over} = "
        f"{shown(seeds, 2)} seeds × {shown_plain(weight)} g{of_lot} / 100 / {shown_plain(lost.purity)} = "
        f"{shown(exact, 4)} g"
    )
    return Each(seeds, Fraction(half_up(exact, PLACES)), formula)


def _weight(lot: OnHand, place: int) -> tuple[Fraction, str]:
    """Give the lot's weight of 100 seeds, or its line's newest with the lot that was weighed in its place."""
    found = newest_seed_weight(lot.lot_id, or_of_its_line=True)
    if found is None:
        says = f"Neither {lot.lot} nor its line has a seed weight. Weigh 100 seeds, or give it, or give grams a plot."
        raise Mistake(says, field=f"entries.{place}.seed_weight_g_per_100")
    return found.grams, "" if found.lot == lot.lot else f" (of {found.lot}, same line)"


def _germination(lot: OnHand, place: int) -> Fraction:
    if lot.test is None:
        says = f"{lot.lot} has no germination test. Test it, or give germination_pct, or give grams a plot."
        raise Mistake(says, field=f"entries.{place}.germination_pct")
    return Fraction(lot.test.result.found, lot.test.result.seeds)


def _answer(
    packed: Sequence[Packed], taken: Mapping[str, int], used: Mapping[str, OnHand], notes: tuple[str, ...]
) -> Answer:  # fmt: skip
    short = [one for one in packed if one.lot is None]
    total, plots = sum(taken.values()), sum(one.wanted.plots for one in packed)
    values = {
        "entries": [_entry(one) for one in packed], "plots": plots, "kg": kg_text(total), "is_enough": not short,
        "lots": [{"lot": lot, "kg": kg_text(mg), "left_kg": kg_text(used[lot].mg - mg)} for lot, mg in taken.items()],
    }  # fmt: skip
    says = [
        f"{len(packed)} entries on {plots} plots take {kg_words(total)} kg from {len(taken)} lots.",
        *(f"{lot} gives {kg_words(mg)} of its {kg_words(used[lot].mg)} kg." for lot, mg in taken.items()),
        "Enough for every entry." if not short else f"Not enough for {len(short)} of {len(packed)} entries:",
        *(f"entry {one.wanted.place}, {one.wanted.name}: {one.why}." for one in short),
    ]
    steps = [_step(one) for one in packed]
    steps.append(Step("which lot", "the first in order that holds all plots of the entry", ORDER, source=SOURCE))
    return Answer(values, tuple(says), tuple(steps), notes)


def _entry(one: Packed) -> dict[str, Any]:
    each = one.each
    return {
        "entry": one.wanted.place, "asked": one.wanted.name, "lot": one.lot.lot if one.lot else None,
        "plots": one.wanted.plots, "seeds_a_plot": ceil(each.seeds) if each and each.seeds is not None else None,
        "grams_a_plot": f"{half_up(each.grams, PLACES)}" if each else None, "kg": kg_text(one.mg),
        "short_kg": kg_text(one.short_mg), "why": one.why or None,
    }  # fmt: skip


def _step(one: Packed) -> Step:
    gives = f"entry {one.wanted.place}, {one.lot.lot if one.lot else one.wanted.name}"
    if one.each is None:
        return Step(gives, one.why, source="the station's ledger")
    grams = f"{half_up(one.each.grams, PLACES)}"
    formula = f"{one.each.formula}; {one.wanted.plots} plots × {grams} g = {kg_words(one.mg)} kg"
    return Step(gives, formula, rounding=f"{grams} g a plot, half up to 0.01", source=NO_SOURCE)


FIGURES = (
    Figure(
        "sowing plan", "What entries on plots take from which lots, germination taken in, and whether there is enough.",
        PlanAsked, sowing_plan,
        {"entries": [{"lot": "24-0017-9"}, {"line": "QN-2109"}], "plots": "3", "seeds": "120"},
        reads_books=True,
    ),
)  # fmt: skip
