"""Seed lots, their transactions, units and observations: what is read of them, with what is written there."""

from collections.abc import Sequence
from typing import Any

from django.db.models import Q, QuerySet

from api.brapi.asked import Asked
from api.brapi.envelope import Rows
from api.brapi.filters import Narrow
from api.brapi.observations import FILTERS as OF_OBSERVATIONS
from api.brapi.observations import observations, observations_of, observed
from api.brapi.seedlots import seed_lots
from api.brapi.things import Things
from api.brapi.transactions import OF_ONE, transactions
from api.brapi.two_parts import TwoParts
from api.brapi.units import FILTERS, levels_by, plots_and_samples, tell_units
from api.brapi.write_lots import post_lots, post_transactions, put_lot
from api.brapi.write_units import (
    post_observations,
    post_units,
    put_observation,
    put_observations,
    put_unit,
    put_units,
)


def _units(units: Sequence[Any], asked: Asked) -> list[dict[str, Any]]:
    """Tell units, with what was seen of them where that is asked for."""
    told = tell_units(units, asked)
    if not asked.flag("includeObservations", default=False):
        return told
    seen = observations_of(asked, [unit["observationUnitDbId"] for unit in told])
    return [{**unit, "observations": seen.get(unit["observationUnitDbId"], [])} for unit in told]


def _seen(name: str) -> Narrow:
    """Keep units of which something was seen that a filter of observations keeps."""

    def narrow(rows: Rows, values: Sequence[str], asked: Asked) -> Rows:
        seen, units = OF_OBSERVATIONS[name](observed(asked), values, asked), rows
        if not isinstance(seen, TwoParts) or not isinstance(units, TwoParts):
            raise TypeError("observations and units are lists of two parts")
        notes, graded = seen.first.order_by(), {row["observationUnitDbId"] for row in seen.last}
        plots = units.first.filter(pk__in=notes.filter(plot__isnull=False).values("plot"))
        if not isinstance(units.last, QuerySet):
            return TwoParts(plots, units.last)  # nothing is left of samples
        looked_at = Q(number__in=notes.exclude(sample="").values("sample")) | Q(operation__uid__in=graded)
        return TwoParts(plots, units.last.filter(looked_at))

    return narrow


_UNITS = {**FILTERS, **{
    name: _seen(name) for name in ("observationVariableDbId", "observationVariableName", "observationVariablePUI")
}}  # fmt: skip
THINGS = (
    seed_lots(post=post_lots, put_one=put_lot),
    transactions(post=post_transactions),
    Things(
        "observationunits", "observation unit", "observationUnitDbId", plots_and_samples, _units, _UNITS,
        objects=levels_by(FILTERS), flags=("includeObservations",), has_search=True,
        post=post_units, put_all=put_units, put_one=put_unit,
    ),
    observations(post=post_observations, put_all=put_observations, put_one=put_observation),
)  # fmt: skip
ROUTES = (OF_ONE,)
