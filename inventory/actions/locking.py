"""Acts upon the same lot wait for each other, so that what a plan has read still holds when it is written."""

from collections.abc import Iterable

from django.db import connection

from inventory.models import Lot
from inventory.queries.uses import in_parts


def lock_lots(lot_ids: Iterable[int]) -> None:
    """Lock the rows of these lots until the act ends, in the order of their keys (1 query; none on SQLite).

    SQLite lets one act write at a time anyhow. A look from outside a transaction locks nothing.
    """
    if not (connection.features.has_select_for_update and connection.in_atomic_block):
        return
    for some in in_parts(sorted(set(lot_ids))):
        list(Lot.objects.select_for_update(no_key=True).filter(pk__in=some).order_by("pk").values_list("pk"))
