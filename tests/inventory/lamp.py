"""A plugin made of functions, taken in by the site's own host for one test."""

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from decimal import Decimal
from types import SimpleNamespace
from typing import Any

from hilum.plugins import (
    Measurement,
    MeasurementField,
    MeasurementFinding,
    MeasurementKind,
    Result,
    WorkedOut,
    hookimpl,
)
from hilum.plugins.host import the_host


@contextmanager
def lamp(off_at: tuple[str, ...] = (), **hooks: Callable[..., Any]) -> Iterator[None]:
    """Take in the plugin "lamp" with these hooks."""
    plugin = SimpleNamespace(**{name: hookimpl(function) for name, function in hooks.items()})
    with the_host().with_plugin("lamp", plugin, off_at):
        yield


def soaked(values: Mapping[str, Any]) -> WorkedOut:
    """The hydration coefficient: wet mass over dry mass, in per cent."""
    dry, wet = values["dry"], values["wet"]
    if wet < dry:
        return WorkedOut((), (MeasurementFinding("lighter", "wet", "question", "Soaked seed is lighter than dry."),))
    note = MeasurementFinding("read", "", "note", "Reckoned by mass.")
    return WorkedOut((Result("hydration coefficient", wet / dry * 100, "%"),), (note,))


FIELDS = (
    MeasurementField("dry", "dry seed", unit="g", least=Decimal(1), most=Decimal(1000), example="100"),
    MeasurementField("wet", "soaked seed", unit="g", most=Decimal(3000), example="205.4"),
    MeasurementField("water", "water", reads="text", choices=("distilled", "tap")),
    MeasurementField("hours", "hours of each reading", several=True, required=False),
)


def soak_kind(keep: Callable[[Measurement], None] | None = None, work_out: Any = soaked) -> MeasurementKind:
    """The kind of measurement that the tests use."""
    return MeasurementKind("soaking_test", "Soaking test", FIELDS, work_out, keep)
