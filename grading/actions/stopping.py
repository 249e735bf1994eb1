"""A finding that stops grading holds its lot at once; only a named person lifts it."""

from collections.abc import Sequence
from datetime import datetime

from django.contrib.auth.models import User

from grading.models import Sample
from inventory.actions.drafts import Draft
from inventory.models import Load, Station
from inventory.rules.reading import listed


def plan_stop_hold(
    sample: Sample, stops: Sequence[str], *, station: Station, by: User, at: datetime, key: str, load: Load | None
) -> Draft:
    """Plan the hold of a sample's lot.

    It does not point at the grading: a grading that is taken back leaves the hold standing for a person to lift.
    """
    words = listed([stop.replace("_", " ") for stop in stops], "and")
    return Draft(
        kind="hold", station=station, by=by, at=at, reason=f"sample {sample.number}: {words}", key=key, load=load,
        facts={"lot_ids": [sample.lot_id], "lots": [sample.lot.number], "sample": sample.number, "stops": list(stops)},
    )  # fmt: skip
