"""How long seed may keep: a forecast by constants that the user brings with their source."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from grading.queries.figures.figure import Answer, Figure
from grading.queries.figures.given import given
from grading.rules.mistakes import Missing, OutOfRange
from grading.stats.viability import Constants, Forecast, capped, forecast
from inventory.models import Station
from inventory.rules.gathering import Gathering
from inventory.rules.reading import typed_text

HERMETIC_PCT = Decimal("7.0")  # 7 CFR 201.36c, garden bean and lima bean, wet basis
HERMETIC = "7 CFR 201.36c: garden bean in hermetically sealed containers holds at most 7.0 % moisture"
LONGEST_SOURCE, SHORTEST_SOURCE = 400, 8
MOST_DAYS = 36_525  # a hundred years
CAUTIONS = (
    "A forecast, not a test: it stands on the constants you entered, and says nothing of how sure they are.",
    "Rule of thumb, not used here: each 1 % less moisture, or each 10 °F (5.6 °C) less, doubles the life of seed "
    "(Harrington, as told by seed firms); with published constants 1 % gives 1.4 to 1.9 times.",
)


@dataclass(frozen=True, kw_only=True)
class KeepingAsked:
    """The constants of the species with their source, how the seed starts and how it is stored."""

    k_e: Any
    c_w: Any
    c_h: Any
    c_q: Any
    source: str = ""
    initial_pct: Any
    seeds_tested: Any = "400"
    moisture_pct: Any
    temperature_c: Any
    days: Any
    down_to_pct: Any = ""
    hermetic: bool = False


def viability_forecast(asked: KeepingAsked, _station: Station | None = None) -> Answer:
    """Answer what viability may be expected after some time in store.

    Raises:
        Refused: constants without a source, a moisture or temperature outside what the equation was fitted to.
    """
    words = Gathering()
    constants = _constants(words, asked)
    start = words.number(asked.initial_pct, "initial_pct", unit="%", least=0, most=100, example="98")
    seeds = words.whole(asked.seeds_tested, "seeds_tested", least=1, most=1_000_000)
    moisture = words.number(asked.moisture_pct, "moisture_pct", unit="%", least=2, most=25, example="12")
    temperature = words.number(asked.temperature_c, "temperature_c", unit="°C", least=-20, most=90, example="5")
    days = words.number(asked.days, "days", unit="days", least=0, most=MOST_DAYS, example="365")
    down_to = words.number(asked.down_to_pct, "down_to_pct", unit="%", least=1, most=99, needed=False)
    if asked.hermetic and moisture is not None and moisture > HERMETIC_PCT:
        says = f"Moisture is {moisture} %. {HERMETIC}. Dry it further, or do not seal it."
        words.add(OutOfRange(says, field="moisture_pct"))
    words.finish()
    share = capped(float(given(start)), given(seeds))
    found = forecast(
        share, float(given(days)), given(constants), moisture=float(given(moisture)),
        temperature=float(given(temperature)), down_to=None if down_to is None else float(down_to),
    )  # fmt: skip
    return _answer(found, given(days), down_to, _notes(given(constants), share, float(given(start))))


def _constants(words: Gathering, asked: KeepingAsked) -> Constants | None:
    """Read the four constants; the source is not to be left out."""
    k_e = words.number(asked.k_e, "k_e", least=0, most=20, example="8.498")
    c_w = words.number(asked.c_w, "c_w", least=0, most=12, example="4.836")
    c_h = words.number(asked.c_h, "c_h", least=0, most=Decimal("0.2"), example="0.0322")
    c_q = words.number(asked.c_q, "c_q", least=0, most=Decimal("0.005"), example="0.000454")
    source = typed_text(asked.source).strip()
    if not SHORTEST_SOURCE <= len(source) <= LONGEST_SOURCE:
        hint = "Name who published these constants: author, year, title. None ship with this program."
        words.add(Missing("source", hint) if len(source) < SHORTEST_SOURCE else _too_long(source))
    if k_e is None or c_w is None or c_h is None or c_q is None:
        return None
    return Constants(float(k_e), float(c_w), float(c_h), float(c_q), source)


def _too_long(source: str) -> OutOfRange:
    says = f"The source has {len(source)} signs; {LONGEST_SOURCE} fit. Write it shorter."
    return OutOfRange(says, field="source")


def _notes(constants: Constants, share: float, start: float) -> tuple[str, ...]:
    cap = () if share == start else (f"{start:g} % has no probit; it counts as {share:g} %, half a seed inward.",)
    return (*cap, f"Constants as you entered them, from: {constants.source}.", *CAUTIONS, f"{HERMETIC}.")


def _answer(found: Forecast, days: Decimal, down_to: Decimal | None, notes: tuple[str, ...]) -> Answer:
    values = {
        "forecast_pct": round(found.estimate, 3), "sigma_days": found.sigma_days, "days_to": found.days_to,
        "interval": None, "n": None, "method": found.method,
    }  # fmt: skip
    says = [f"Forecast after {days:f} days: {found.estimate:.1f} %. Test before you rely on it."]
    if down_to is not None and found.days_to is not None:
        says.append(f"Forecast of {down_to} %: after about {found.days_to:.0f} days.")
    return Answer(values, tuple(says), found.working, notes)


FIGURES = (
    Figure(
        "viability forecast", "A forecast of viability in store, with constants that you enter with their source.",
        KeepingAsked, viability_forecast,
        {
            "k_e": "8.498", "c_w": "4.836", "c_h": "0.0322", "c_q": "0.000454",
            "source": "Ellis and Hong 2007, Seed Sci. Technol. 35: 432-444, wheat", "initial_pct": "98",
            "moisture_pct": "12", "temperature_c": "20", "days": "365", "down_to_pct": "85",
        },
    ),
)  # fmt: skip
