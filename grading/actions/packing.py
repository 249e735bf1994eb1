"""Pack for sowing: take the seed of every entry from its lot for its plots; all entries or none."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from fractions import Fraction

from django.contrib.auth.models import User

from grading.queries.germination import germination_of
from grading.queries.sizes import newest_seed_weight
from inventory.actions.acting import Booked, action
from inventory.actions.desk import Typed
from inventory.actions.sowing import Sowing, sow_all
from inventory.models import Lot, Station
from inventory.queries.finding import find_lot
from inventory.rules.gathering import Gathering
from inventory.rules.mistakes import Mistake
from inventory.rules.planting import Losses, grams_for, seeds_for
from inventory.rules.reading import typed_text
from inventory.rules.rounding import half_up

PLACES = 2  # of the grams of a plot: what a balance for envelopes shows


@dataclass(frozen=True, kw_only=True)
class PackedEntry:
    """One entry: a lot on its plots, with grams for each, or plants wanted on each with germination taken in.

    Args:
        grams: that fall on each plot, as weighed [g].
        seeds: plants wanted on each plot; the lot's newest germination and seed weight turn them into grams.
        germination_pct, seed_weight_g_per_100: instead of what the books say.
    """

    lot: Typed
    plots: Sequence[str]
    grams: Typed = None
    seeds: Typed = None
    germination_pct: Typed = None
    seed_weight_g_per_100: Typed = None
    bags: Typed = ""
    place: str = ""


@dataclass(frozen=True, kw_only=True)
class Packing:
    """A packing for sowing as it was typed; what the entries do not say for themselves holds for all."""

    entries: Sequence[PackedEntry]
    grams: Typed = None
    seeds: Typed = None
    overage_pct: Typed = None
    at: Typed = None


@action("sow")
def pack_for_sowing(
    packing: Packing, *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Sow all entries of a plan, each lot on its plots: all or none.

    Raises:
        Refused: an entry that cannot be read, a lot that is held or holds too little, or was never weighed or tested
            where plants are given.
    """
    words = Gathering()
    if not packing.entries:
        words.add(Mistake("No entry is given. Give one or more, such as entries.1.lot=24-0006-6.", field="entries"))
    sowings = [_sowing(words, packing, place, station) for place in range(1, len(packing.entries) + 1)]
    words.finish()
    return sow_all(
        [one for one in sowings if one is not None], station=station, by=by, key=key, reason=reason, answers=answers,
        now=now,
    )  # fmt: skip


def _sowing(words: Gathering, packing: Packing, place: int, station: Station) -> Sowing | None:
    """Turn one entry into the sowing of its lot."""
    entry, where = packing.entries[place - 1], f"entries.{place}"
    if not entry.plots:
        words.add(Mistake(f"Entry {place} has no plots. Give their codes.", field=f"{where}.plots"))
    grams = _grams(words, packing, entry, where, station)
    if grams is None:
        return None
    return Sowing(
        lot=entry.lot, plots=entry.plots, parts=[grams] * len(entry.plots), bags=entry.bags, place=entry.place,
        unit="g", at=packing.at,
    )  # fmt: skip


def _grams(words: Gathering, packing: Packing, entry: PackedEntry, where: str, station: Station) -> Decimal | None:
    """Read what falls on each plot [g]: the entry's own word, else the plan's."""
    is_own = _is_given(entry.grams) or _is_given(entry.seeds)
    given, named = (entry, f"{where}.") if is_own else (packing, "")
    if _is_given(given.grams) == _is_given(given.seeds):
        says = "Give grams or seeds for each plot, one of them, for every entry or for all."
        words.add(Mistake(says, field=f"{where}.grams"))
        return None
    if _is_given(given.grams):
        return words.number(given.grams, f"{named}grams", unit="g", least="0.01", most=100_000)
    plants = words.number(given.seeds, f"{named}seeds", least=1, most=1_000_000)
    more = words.number(packing.overage_pct, "overage_pct", unit="%", least=0, most=100, needed=False)
    lot = words.attempt(lambda: find_lot(station, typed_text(entry.lot), field=f"{where}.lot")[0])
    if lot is None or plants is None:
        return None
    weight = _weight(words, entry, where, lot)
    germination = _germination(words, entry, where, lot)
    if weight is None or germination is None:
        return None
    losses = Losses(germination=germination, overage=Fraction(more or 0) / 100)
    return half_up(grams_for(seeds_for(Fraction(plants), losses), weight, losses), PLACES)


def _weight(words: Gathering, entry: PackedEntry, where: str, lot: Lot) -> Fraction | None:
    field = f"{where}.seed_weight_g_per_100"
    if _is_given(entry.seed_weight_g_per_100):
        read = words.number(entry.seed_weight_g_per_100, field, unit="g", least="0.1", most=1000)
        return None if read is None else Fraction(read)
    found = newest_seed_weight(lot.pk, or_of_its_line=True)
    if found is None:
        words.add(Mistake(f"Neither {lot.number} nor its line has a seed weight. Give it, or give grams.", field=field))
    return found.grams if found else None


def _germination(words: Gathering, entry: PackedEntry, where: str, lot: Lot) -> Fraction | None:
    field = f"{where}.germination_pct"
    if _is_given(entry.germination_pct):
        read = words.number(entry.germination_pct, field, unit="%", least=1, most=100)
        return None if read is None else Fraction(read) / 100
    test = germination_of(lot)
    if test is None:
        words.add(Mistake(f"{lot.number} has no germination test. Give it, or give grams.", field=field))
    return Fraction(test.result.found, test.result.seeds) if test else None


def _is_given(typed: Typed) -> bool:
    return typed_text(typed).strip() != ""
