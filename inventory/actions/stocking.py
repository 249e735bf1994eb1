"""Stock follows entries: changed only here, by one conditional UPDATE each, so that it never goes negative."""

from collections.abc import Iterable, Sequence

from django.db import connection
from django.db.models import F

from inventory.actions.drafts import Draft
from inventory.models import Lot, Place, Stock
from inventory.rules.mass import kg_words
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.reading import listed

Key = tuple[int, int, int]  # lot, place, bag number
_AT_ONCE = 500  # SQLite takes about a thousand parameters in one statement


class NotEnough(Mistake):
    """More was asked of a lot than is left of it there."""

    code = "not_enough"

    def __init__(self, what: str, place: str, left_mg: int, asked_mg: int, *, stands_at: Sequence[str] = ()) -> None:
        left, asked = kg_words(left_mg), kg_words(asked_mg)
        if left_mg:
            says = f"{left} kg left of {what} at {place}; this asks {asked}. Take {left}, or choose another lot."
        elif stands_at:
            says = (
                f"Nothing of {what} is at {place}; it stands at {listed(list(stands_at), 'and')}. Take it from there."
            )
        else:
            says = f"Nothing is left of {what} at {place}. Choose another lot or place."
        super().__init__(says, field="mass")


def restock(drafts: Sequence[Draft]) -> None:
    """Apply the entries of all drafts to stock, in order.

    Raises:
        Refused: a lot would go below nothing at a place; nothing is kept, the caller's transaction rolls back.
    """
    nets = [_net(draft) for draft in drafts]
    station_id = drafts[0].station.pk if drafts else 0
    known = _known_rows({key[0] for net in nets for key in net})
    fresh: dict[Key, int] = {}
    for net in nets:
        for key in sorted(net):
            if key in known:
                _change(known[key], key, net[key])
            else:
                _change_fresh(fresh, key, net[key])
    _insert(station_id, fresh)


def _net(draft: Draft) -> dict[Key, int]:
    net: dict[Key, int] = {}
    for entry in draft.entries:
        if entry.lot_id is not None and entry.place_id is not None:
            key = (entry.lot_id, entry.place_id, entry.bag_no)
            net[key] = net.get(key, 0) + entry.mg
    return {key: mg for key, mg in net.items() if mg}


def _known_rows(lot_ids: Iterable[int]) -> dict[Key, int]:
    known: dict[Key, int] = {}
    ordered = sorted(lot_ids)
    for start in range(0, len(ordered), _AT_ONCE):
        some = ordered[start : start + _AT_ONCE]
        rows = Stock.objects.filter(lot_id__in=some).values_list("lot_id", "place_id", "bag_no", "pk")
        known.update({(lot, place, bag): pk for lot, place, bag, pk in rows})
    return known


def _change(pk: int, key: Key, mg: int) -> None:
    if not Stock.objects.filter(pk=pk, mg__gte=-mg).update(mg=F("mg") + mg):
        raise _not_enough(key, Stock.objects.get(pk=pk).mg, -mg)


def _change_fresh(fresh: dict[Key, int], key: Key, mg: int) -> None:
    left = fresh.get(key, 0)
    if left + mg < 0:
        raise _not_enough(key, left, -mg)
    fresh[key] = left + mg


def _insert(station_id: int, fresh: dict[Key, int]) -> None:
    """Insert new rows; another act may have made the same row meanwhile, then both masses stand in it."""
    if not fresh:
        return
    with connection.cursor() as cursor:
        cursor.executemany(
            "INSERT INTO inventory_stock (station_id, lot_id, place_id, bag_no, mg) VALUES (%s, %s, %s, %s, %s) "
            "ON CONFLICT (lot_id, place_id, bag_no) DO UPDATE SET mg = inventory_stock.mg + excluded.mg",
            [(station_id, *key, mg) for key, mg in sorted(fresh.items())],
        )


def _not_enough(key: Key, left_mg: int, asked_mg: int) -> Refused:
    lot_id, place_id, bag_no = key
    number = Lot.objects.get(pk=lot_id).number
    what = f"bag {number}/{bag_no}" if bag_no else number
    return Refused([NotEnough(what, Place.objects.get(pk=place_id).code, left_mg, asked_mg)])
