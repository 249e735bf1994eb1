"""A forecast of viability in storage by the improved viability equation, with constants that the user brings.

No constants ship: none for Phaseolus vulgaris was found in a source that could be read, and a forecast by another
species' constants would look like knowledge.
"""

from dataclasses import dataclass
from math import log10
from statistics import NormalDist

from inventory.rules.working import Step

EQUATION = "Ellis and Roberts, Ann. Bot. 45 (1980) 13-30: v = Ki - p / 10^(KE - CW log10 m - CH t - CQ t²)"
# The log relation stops at a low moisture, 2.4 % (niger) to 6.2 % (pea) over twelve species; pulses are taken as pea.
LOWEST_MOISTURE = 6.2
LOW_LIMIT = "Ellis, Hong, Roberts, Ann. Bot. 63 (1989) 601-611: no gain below 6.2 % moisture (pea)"
_NORMAL = NormalDist()


@dataclass(frozen=True, slots=True)
class Constants:
    """The four constants of a species [1], and who published them."""

    k_e: float
    c_w: float
    c_h: float
    c_q: float
    source: str


@dataclass(frozen=True, slots=True)
class Forecast:
    """Viability to be expected after some time in store; a forecast, never a test.

    Attributes:
        estimate: viability [%].
        sigma_days: days in which one probit is lost.
        days_to: days until a wanted viability is reached; None where none was asked, 0 where it is below already.
        n, interval: None: the equation gives no range; the doubt about the constants is not in it.
    """

    estimate: float
    sigma_days: float
    days_to: float | None
    working: tuple[Step, ...]
    interval: None = None
    n: None = None
    method: str = "improved viability equation, constants by the user"


def sigma(constants: Constants, moisture: float, temperature: float) -> float:
    """Give the days in which one probit of viability is lost.

    Args:
        moisture: over 0, fresh-weight basis; below `LOWEST_MOISTURE` it counts as that [%].
        temperature: of the store [deg C].

    Source: Ellis and Roberts (1980); the low limit Ellis, Hong, Roberts (1989).
    """
    m, t = max(moisture, LOWEST_MOISTURE), temperature
    return float(10 ** (constants.k_e - constants.c_w * log10(m) - constants.c_h * t - constants.c_q * t * t))


def forecast(
    initial: float, days: float, constants: Constants, *, moisture: float, temperature: float,
    down_to: float | None = None,
) -> Forecast:  # fmt: skip
    """Forecast viability after a time in store.

    Args:
        initial: at the start, over 0 and below 100, since neither has a probit [%].
        days: in store, 0 or more [d].
        moisture: fresh-weight basis [%].
        temperature: of the store [deg C].
        down_to: a viability, of which the day is asked [%].

    Raises:
        ValueError: a share without a probit.

    Source: Ellis and Roberts (1980).
    """
    if not 0 < initial < 100 or (down_to is not None and not 0 < down_to < 100):
        raise ValueError(f"Neither 0 nor 100 % has a probit; they were {initial} and {down_to}.")
    loss, start = sigma(constants, moisture, temperature), probit(initial)
    end = start - days / loss
    share = 100 * _NORMAL.cdf(end)
    until = None if down_to is None else max(0.0, (start - probit(down_to)) * loss)
    m = max(moisture, LOWEST_MOISTURE)
    exponent = f"{constants.k_e} - {constants.c_w} log10 {m} - {constants.c_h} × {temperature} - {constants.c_q} × "
    steps = [
        Step("sigma", f"10^({exponent}{temperature}²) = {loss:.4g} days", source=f"{EQUATION}; {constants.source}"),
        Step("Ki", f"probit of {initial:g} % = {start:.4f}", source="standard normal distribution"),
        Step("v", f"{start:.4f} - {days:g} / {loss:.4g} = {end:.4f}, that is {share:.1f} %", source=EQUATION),
    ]
    if moisture < LOWEST_MOISTURE:
        steps.insert(0, Step("moisture", f"{moisture:g} % counts as {LOWEST_MOISTURE} %", source=LOW_LIMIT))
    if until is not None:
        formula = f"({start:.4f} - probit of {down_to:g} %) × {loss:.4g} = {until:.0f} days"
        steps.append(Step("days", formula, source=EQUATION))
    return Forecast(share, loss, until, tuple(steps))


def probit(percent: float) -> float:
    """Give the normal deviate of a share [%], 0 and 100 excluded."""
    return _NORMAL.inv_cdf(percent / 100)


def capped(percent: float, seeds: int) -> float:
    """Bring 100 or 0 % of so many seeds half a seed inward, to a probit (common practice, no source)."""
    half = 50 / seeds
    return min(max(percent, half), 100 - half)
