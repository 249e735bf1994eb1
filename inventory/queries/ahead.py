"""What a delivery looks like while it is typed: its plots' line and field weight, its containers' tares, its net."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import TypeVar

from inventory.models import Container, FieldWeight, Plot, Station
from inventory.queries.deliveries import deliveries_from, field_weights
from inventory.queries.finding import find_container, find_plot
from inventory.queries.today import today_at
from inventory.rules.containers import carry_words
from inventory.rules.deliveries import TARE_MAX_AGE, is_as_the_field_said
from inventory.rules.mass import ReadMass, in_kg, net_mg, read_mass
from inventory.rules.mistakes import Mistake, Note, Refused
from inventory.rules.moisture import read_moisture, storage_advice

T = TypeVar("T")
MOST = 5  # earlier deliveries that are shown


@dataclass(frozen=True)
class Tare:
    """A container with its checked tare, and whether the check is too old."""

    container: Container
    is_old: bool


@dataclass(frozen=True)
class InAlready:
    """A lot that came in from one of the plots that are typed."""

    lot: str
    at: datetime
    net_mg: int
    plots: tuple[str, ...]


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
        says: sentences of what could not be read, or was read otherwise than it was typed.
        earlier: what came in from these plots already, the newest first.
    """

    plots: list[Plot] = field(default_factory=list)
    expected_mg: int | None = None
    is_estimate: bool = False
    tares: list[Tare] = field(default_factory=list)
    net_mg: int | None = None
    advice: str = ""
    says: list[str] = field(default_factory=list)
    earlier: list[InAlready] = field(default_factory=list)

    @property
    def is_as_said(self) -> bool:
        """The net is what the field said, within what is asked about."""
        known = self.expected_mg and self.net_mg is not None
        return bool(known) and is_as_the_field_said(self.net_mg or 0, self.expected_mg or 0)

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
    found = [_found(ahead, lambda typed=typed: find_plot(station, typed)) for typed in plots]  # type: ignore[misc]
    ahead.plots = [plot for plot in found if plot is not None]
    _expect(ahead, field_weights(ahead.plots) if ahead.plots else {})
    today = today_at(station)
    ahead.earlier = _earlier(station, ahead.plots)
    named = carry_words(containers)
    for typed in named:
        container = _found(ahead, lambda typed=typed: find_container(station, typed))  # type: ignore[misc]
        if container is not None:
            ahead.tares.append(Tare(container, _is_old(container.checked_on, today)))
    if tare.strip() or net.strip() or len(ahead.tares) == len(named):  # without a tare the gross is no net
        ahead.net_mg = _net(ahead, gross, tare, net, unit)
    if moisture.strip():
        read = _read(ahead, lambda: read_moisture(moisture))
        ahead.advice = str(storage_advice(read.percent)) if read else ""
    return ahead


def some_containers(station: Station) -> list[str]:
    """Name two containers of a station, to show how its own are called (1 query)."""
    return list(Container.objects.filter(station=station).order_by("code")[:2].values_list("code", flat=True))


def _found(ahead: Ahead, find: Callable[[], tuple[T, tuple[Note, ...]]]) -> T | None:
    found = _read(ahead, find)
    if found is None:
        return None
    ahead.says += [note.says for note in found[1]]
    return found[0]


def _earlier(station: Station, plots: Sequence[Plot]) -> list[InAlready]:
    """What came in already from any of these plots, the newest first (3 queries)."""
    if not plots:
        return []
    came = sorted(deliveries_from(station, [plot.pk for plot in plots]), key=lambda one: one[1], reverse=True)
    codes = dict(Plot.objects.filter(pk__in={key for keys, *_ in came for key in keys}).values_list("pk", "code"))
    return [InAlready(lot, at, net, tuple(sorted(codes[key] for key in keys))) for keys, at, lot, net in came[:MOST]]


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
    ahead.says += [note.says for note in whole.notes] if whole else []
    off = _read(ahead, lambda: _tare(ahead, tare, unit))
    return _read(ahead, lambda: net_mg(whole, off)) if whole and off else None


def _tare(ahead: Ahead, typed: str, unit: str) -> ReadMass:
    return read_mass(typed, unit=unit, field="tare") if typed.strip() else in_kg(ahead.tare_mg)


def _read(ahead: Ahead, read: Callable[[], T]) -> T | None:
    try:
        return read()
    except Mistake as mistake:
        ahead.says.append(mistake.says)
    except Refused as refused:
        ahead.says += [mistake.says for mistake in refused.mistakes]
    return None
