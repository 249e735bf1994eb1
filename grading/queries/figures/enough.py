"""Is there seed enough of a line, and which lot is used first: from the books."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from typing import Any

from grading.queries.figures.figure import Answer, Figure
from grading.queries.germination import threshold_of
from grading.queries.on_hand import OnHand, seed_on_hand
from inventory.models import Station
from inventory.queries.today import today_at
from inventory.rules.area import read_area
from inventory.rules.dates import read_date
from inventory.rules.gathering import Gathering
from inventory.rules.mass import MG_PER_KG, kg_text, kg_words, read_mass
from inventory.rules.mistakes import Mistake
from inventory.rules.rates import read_seed_rate
from inventory.rules.reading import typed_text
from inventory.rules.rounding import half_up_int
from inventory.rules.seed_use import ORDER, SOURCE, Drawn, draw, in_order
from inventory.rules.working import Step

USE, LEAVE = "use", "leave"
CLEAN, ALL = "clean", "all"
THE_STATIONS = {"looks": "a whole per cent; without it the station's own limit of the day, else 85"}
USE_OR_LEAVE = {"looks": "use or leave"}


@dataclass(frozen=True, kw_only=True)
class EnoughAsked:
    """A line, and what is needed of it: a mass, or an area with its rate."""

    line: Any
    need: Any = field(default=None, metadata={"looks": "a mass: 44 kg; or give area and rate"})
    area: Any = field(default=None, metadata={"looks": "an area: 0.8 ha"})
    rate: Any = field(default=None, metadata={"looks": "a seed rate: 55 kg/ha"})
    promised: Any = field(default=LEAVE, metadata=USE_OR_LEAVE)
    treated: Any = field(default=USE, metadata=USE_OR_LEAVE)
    seed: Any = field(default=CLEAN, metadata={"looks": "clean (out of a run or blend) or all"})
    least_germination_pct: Any = field(default=None, metadata=THE_STATIONS)
    on: Any = field(default=None, metadata={"looks": "the day, for promises and tests; without it today"})


@dataclass(frozen=True)
class Terms:
    """Which seed may be taken."""

    leaves_promised: bool
    leaves_treated: bool
    clean_only: bool
    least_pct: int
    today: date


@dataclass(frozen=True)
class Need:
    """What is needed [mg], how it was said, and its step; without words where the mass itself was given."""

    mg: int
    words: str = ""
    step: Step | None = None


def enough_seed(asked: EnoughAsked, station: Station | None) -> Answer:
    """Answer whether a line has seed enough, and what is used first.

    Raises:
        Refused: a word that cannot be read, no such line, nothing that is needed.
    """
    words = Gathering()
    if station is None:
        words.add(Mistake("Stock is looked up at a station. Name the station.", field="line"))
        words.finish()
        raise AssertionError("finish() lets no missing station through")
    terms = read_terms(words, asked, station)
    need = _need(words, asked)
    stands = words.attempt(lambda: seed_on_hand(station, typed_text(asked.line), terms.today)) if terms else None
    words.finish()
    if need is None or terms is None or stands is None:
        raise AssertionError("finish() lets nothing unread through")
    kept = [one for one in stands if one.is_clean or not terms.clean_only]
    line = stands[0].line if stands else typed_text(asked.line)
    return _answer(line, need, kept, terms)


def read_terms(words: Gathering, asked: Any, station: Station) -> Terms | None:
    """Read which seed may be taken; used by every plan that draws from lots."""
    promised = words.word(asked.promised, "promised", (USE, LEAVE), LEAVE)
    treated = words.word(asked.treated, "treated", (USE, LEAVE), USE)
    seed = words.word(asked.seed, "seed", (CLEAN, ALL), CLEAN)
    said = typed_text(asked.least_germination_pct).strip()
    least = words.whole(
        asked.least_germination_pct, "least_germination_pct", unit="%", least=0, most=100, needed=False
    )  # fmt: skip
    today = today_at(station)
    if typed_text(asked.on).strip():
        read = words.attempt(lambda: read_date(asked.on, field="on"))
        today = read.value if read else today
    if least is None and said:
        return None
    floor = threshold_of(station, today) if least is None else least
    return Terms(promised == LEAVE, treated == LEAVE, seed == CLEAN, floor, today)


def _need(words: Gathering, asked: EnoughAsked) -> Need | None:
    """Read what is needed."""
    by_area = [typed_text(one).strip() for one in (asked.area, asked.rate)]
    if typed_text(asked.need).strip():
        if any(by_area):
            words.add(Mistake("Both a mass and an area are given. Give need, or area and rate.", field="need"))
        read = words.attempt(lambda: read_mass(asked.need, unit="kg", field="need"))
        if read is not None and read.mg == 0:
            words.add(Mistake("Need is 0 kg. Give what is to be sown, such as 44 kg.", field="need"))
        return Need(read.mg) if read else None
    if not all(by_area):
        words.add(Mistake("Give what is needed: need=44, or area=0.8 ha with rate=55 kg/ha.", field="need"))
        return None
    area = words.attempt(lambda: read_area(asked.area, unit="ha"))
    rate = words.attempt(lambda: read_seed_rate(asked.rate))
    if area is None or rate is None:
        return None
    mg = half_up_int(rate.per_m2 * Fraction(area) * MG_PER_KG)
    formula = f"{by_area[0]} × {rate.words} = {kg_words(mg)} kg"
    step = Step("need", formula, source="common practice, no source")
    return Need(mg, f"{by_area[0]} at {rate.words}", step)


def _answer(line: str, need: Need, stands: Sequence[OnHand], terms: Terms) -> Answer:
    sources = [source_of(one, terms) for one in stands]
    drawn, missing = draw(need.mg, sources)
    has, free = sum(one.mg for one in stands), sum(one.free_mg for one in in_order(sources))
    left_out = {one.lot: one.barred for one in sources if one.barred}
    by_lot = {one.lot: one for one in stands}
    values = {
        "need_kg": kg_text(need.mg), "has_kg": kg_text(has), "free_kg": kg_text(free), "is_enough": missing == 0,
        "missing_kg": kg_text(missing), "uses": [_use(by_lot[one.lot], one) for one in drawn],
        "left_out": [{"lot": lot, "kg": kg_text(by_lot[lot].mg), "why": reason} for lot, reason in left_out.items()],
    }  # fmt: skip
    says = [_first_says(need, line, has, drawn), *_free_says(stands, has, free, terms)]
    says += [_enough_says(drawn, missing, line), *(f"{lot} is left out: {reason}." for lot, reason in left_out.items())]
    steps = [need.step] if need.step else []
    steps += [_has_step(stands), _order_step(sources, by_lot), _missing_step(need.mg, drawn, missing)]
    return Answer(values, tuple(says), tuple(steps), notes_of([by_lot[one.lot] for one in drawn], terms))


def source_of(one: OnHand, terms: Terms) -> Any:
    """See a lot as one that could be sown under these terms."""
    return one.source(
        leaves_promised=terms.leaves_promised, leaves_treated=terms.leaves_treated, least_pct=terms.least_pct
    )  # fmt: skip


def notes_of(used: Sequence[OnHand], terms: Terms) -> tuple[str, ...]:
    """Say what a sower should know of lots: no test, an old test, a treatment, a promise that is used."""
    notes = []
    for one in used:
        if one.test is None:
            notes.append(f"{one.lot} has no germination test. Test it before sowing.")
        elif one.is_old(terms.today):
            notes.append(
                f"{one.lot} was tested {one.test.on}, more than twelve months ago. Test it again before sowing."
            )
        if one.is_treated:
            notes.append(f"{one.lot} is treated: never for food or feed.")
        if one.promised_mg and not terms.leaves_promised:
            notes.append(f"{kg_words(one.promised_mg)} kg of {one.lot} are promised.")
    return tuple(notes)


def _use(one: OnHand, drawn: Drawn) -> dict[str, Any]:
    return {
        "lot": one.lot, "kg": kg_text(drawn.mg), "left_kg": kg_text(drawn.left_mg), "crop": one.crop,
        "germination_pct": f"{one.test.result.mean_pct}" if one.test else None,
        "tested_on": one.test.on.isoformat() if one.test else None, "places": list(one.places),
    }  # fmt: skip


def _first_says(need: Need, line: str, has: int, drawn: Sequence[Drawn]) -> str:
    kg = kg_words(need.mg)
    needs = f"{need.words} needs {kg} kg" if need.words else f"{kg} kg are needed"
    first = f"; uses {drawn[0].lot} first" if drawn else ""
    return f"{needs}; {line} has {kg_words(has)} kg{first}."


def _free_says(stands: Sequence[OnHand], has: int, free: int, terms: Terms) -> list[str]:
    promised = sum(one.promised_mg for one in stands)
    if not promised:
        return []
    left = "which is left alone" if terms.leaves_promised else "which is used"
    return [f"{kg_words(promised)} kg of it is promised, {left}; {kg_words(free)} of {kg_words(has)} kg may be sown."]


def _enough_says(drawn: Sequence[Drawn], missing: int, line: str) -> str:
    taken = ", ".join(f"{kg_words(one.mg)} kg of {one.lot}" for one in drawn)
    if missing:
        return f"Not enough: {kg_words(missing)} kg of {line} is missing{f' after {taken}' if taken else ''}."
    return f"Enough: {taken}."


def _has_step(stands: Sequence[OnHand]) -> Step:
    added = " + ".join(f"{kg_words(one.mg)} ({one.lot})" for one in stands) or "nothing"
    total = kg_words(sum(one.mg for one in stands))
    return Step("stock", f"{added} = {total} kg", "seed in store by the books", source="the station's ledger")


def _order_step(sources: Sequence[Any], by_lot: dict[str, OnHand]) -> Step:
    words = ", ".join(
        f"{one.lot} (crop {one.crop}, {_germinates(by_lot[one.lot])}, {kg_words(one.free_mg)} kg)"
        for one in in_order(sources)
    )
    return Step("order of use", words or "no lot may be sown", ORDER, source=SOURCE)


def _germinates(one: OnHand) -> str:
    return f"germination {one.test.result.mean_pct} %" if one.test else "not tested"


def _missing_step(need: int, drawn: Sequence[Drawn], missing: int) -> Step:
    taken = " - ".join(kg_words(one.mg) for one in drawn)
    formula = f"{kg_words(need)} kg{f' - {taken}' if taken else ''} = {kg_words(missing)} kg"
    return Step("missing", formula, source="the station's ledger")


FIGURES = (
    Figure(
        "enough seed", "Whether a line has seed enough for an area or a mass, and which lot is used first.",
        EnoughAsked, enough_seed, {"line": "QN-2104", "area": "0.8 ha", "rate": "55 kg/ha"}, reads_books=True,
    ),
)  # fmt: skip
