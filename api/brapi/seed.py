"""Seed lots, their transactions, units and observations: what is read of them, with what is written there."""

from collections.abc import Sequence
from typing import Any

from api.brapi.asked import Asked
from api.brapi.observations import observations, observations_of
from api.brapi.seedlots import seed_lots
from api.brapi.things import Things
from api.brapi.transactions import OF_ONE, transactions
from api.brapi.units import FILTERS, plots_and_samples, tell_units
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


THINGS = (
    seed_lots(post=post_lots, put_one=put_lot),
    transactions(post=post_transactions),
    Things(
        "observationunits", "observation unit", "observationUnitDbId", plots_and_samples, _units, FILTERS,
        flags=("includeObservations",), has_search=True, post=post_units, put_all=put_units, put_one=put_unit,
    ),
    observations(post=post_observations, put_all=put_observations, put_one=put_observation),
)  # fmt: skip
ROUTES = (OF_ONE,)
