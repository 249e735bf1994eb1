"""Acts as plugins hear of them: behind a number of the chain, in its order."""

from collections import defaultdict
from collections.abc import Sequence
from datetime import UTC

from django.db.models import Model

from hilum.plugins import ActDone
from inventory.models import Entry, Operation, Station
from inventory.models.triggers import append_only_models


def acts_done(station: Station, *, after: int, most: int) -> tuple[ActDone, ...]:
    """Give acts with a number above `after`, at most so many.

    The station's chain has no gaps and is written one act after the other: whoever remembers the last number that
    they were told misses nothing.
    """
    behind = Operation.objects.filter(station=station, seq__gt=after).select_related("by", "reverses")
    acts = list(behind.order_by("seq")[:most])
    lots = _lots_of([act.pk for act in acts])
    return tuple(
        ActDone(
            act.seq, str(act.uid), act.kind, act.by.get_username(), act.at.astimezone(UTC).isoformat(),
            act.recorded_at.astimezone(UTC).isoformat(), act.reason, tuple(sorted(lots[act.pk])),
            act.reverses.seq if act.reverses else None,
        )
        for act in acts
    )  # fmt: skip


def _lots_of(keys: Sequence[int]) -> dict[int, set[str]]:
    """Name the lots of acts: by their entries, and by every row that is about a lot (1 query a table)."""
    found: dict[int, set[str]] = defaultdict(set)
    about_lots = [model for model in append_only_models() if any(one.name == "lot" for one in model._meta.fields)]
    models: set[type[Model]] = {Entry, *about_lots}
    for model in models:
        pairs = model._default_manager.filter(operation__in=keys, lot__isnull=False)
        for operation, number in pairs.values_list("operation_id", "lot__number"):
            found[operation].add(number)
    return found
