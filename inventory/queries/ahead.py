"""What a delivery looks like while it is typed: its plots' line and field weight, its containers' tares, its net."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import TypeVar

from inventory.models import Container, FieldWeight, Plot, Station
from inventory.queries.deliveries import field_weights
from inventory.queries.finding import find_container, find_plot
from inventory.queries.today import today_at
from inventory.rules.deliveries import TARE_MAX_AGE
from inventory.rules.mass import ReadMass, net_mg, read_mass
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.moisture import read_moisture, storage_advice

T = TypeVar("T")


@dataclass(frozen=True)
class Tare:
    """A container with its checked tare, and whether the check is too old."""

    container: Container
    is_old: bool


@dataclass
class Ahead:
    """What is known of a delivery before it is saved; what cannot be read yet is left out.

    Attributes:
        plots: plots and blocks that were named.
        expected_mg: sum of their field weights, None unless all are known [mg].
        is_estimate: one of these weights is an estimate.
        tares: containers that were named.
        net_mg: gross less tare, as far as both can be read [mg].
        advice: what the moisture asks for, "" for nothing.
        says: sentences of what could not be read.
    """

    plots: list[Plot] = field(default_factory=list)
    expected_mg: int | None = None
    is_estimate: bool = False
    tares: list[Tare] = field(default_factory=list)
    net_mg: int | None = None
    advice: str = ""
    says: list[str] = field(default_factory=list)

    @property
    def tare_mg(self) -> int:
        """The containers' tares together [mg]."""
        return sum(tare.container.tare_mg for tare in self.tares)


def delivery_ahead(
    station: Station, *, plots: Sequence[str], containers: Sequence[str], gross: str, tare: str, net: str, unit: str,
    moisture: str,
) -> Ahead:  # fmt: skip
    """Look at a delivery while it is typed; nothing is judged here, the act does that (a few queries)."""
    ahead = Ahead()
    found = [_read(ahead, lambda typed=typed: find_plot(station, typed)[0]) for typed in plots]  # type: ignore[misc]
    ahead.plots = [plot for plot in found if plot is not None]
    _expect(ahead, field_weights(ahead.plots) if ahead.plots else {})
    today = today_at(station)
    for typed in containers:
        container = _read(ahead, lambda typed=typed: find_container(station, typed)[0])  # type: ignore[misc]
        if container is not None:
            ahead.tares.append(Tare(container, _is_old(container.checked_on, today)))
    ahead.net_mg = _net(ahead, gross, tare, net, unit)
    if moisture.strip():
        read = _read(ahead, lambda: read_moisture(moisture))
        ahead.advice = str(storage_advice(read.percent)) if read else ""
    return ahead


def _expect(ahead: Ahead, weights: dict[int, FieldWeight]) -> None:
    if ahead.plots and len(weights) == len(ahead.plots):
        ahead.expected_mg = sum(weight.mg for weight in weights.values())
        ahead.is_estimate = any(weight.is_estimate for weight in weights.values())


def _is_old(checked_on: date | None, today: date) -> bool:
    return checked_on is None or (today - checked_on) > TARE_MAX_AGE


def _net(ahead: Ahead, gross: str, tare: str, net: str, unit: str) -> int | None:
    if not gross.strip():
        read = _read(ahead, lambda: read_mass(net, unit=unit, field="net")) if net.strip() else None
        return read.mg if read else None
    whole = _read(ahead, lambda: read_mass(gross, unit=unit, field="gross"))
    off = _read(ahead, lambda: _tare(ahead, tare, unit))
    return _read(ahead, lambda: net_mg(whole, off)) if whole and off else None


def _tare(ahead: Ahead, typed: str, unit: str) -> ReadMass:
    return read_mass(typed, unit=unit, field="tare") if typed.strip() else read_mass(ahead.tare_mg, unit="mg")


def _read(ahead: Ahead, read: Callable[[], T]) -> T | None:
    try:
        return read()
    except Mistake as mistake:
        ahead.says.append(mistake.says)
    except Refused as refused:
        ahead.says += [mistake.says for mistake in refused.mistakes]
    return None
