"""Look up at once what a bulk act will ask for one by one: a sheet of thousands of rows then costs a few queries."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any

from inventory.actions.desk import Desk, Typed
from inventory.actions.numbering import number_lots
from inventory.models import Line, LineName, Place, Plot
from inventory.queries.deliveries import deliveries_from, field_weights
from inventory.queries.finding import find_line, find_place, find_plot, line_of
from inventory.queries.uses import in_parts
from inventory.rules.lot_number import LotNumber, read_lot_number
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import typed_text


def expect_lots(desk: Desk, typed: Iterable[Typed]) -> None:
    """Take in lot numbers, whether they stand in the books or are to be made; unreadable ones are met again later."""
    numbers = [number for text in set(map(typed_text, typed)) if (number := _readable(text)) is not None]
    lots = number_lots(desk.station, numbers)
    desk.lots.update(lots)
    for some in in_parts(list(lots.values())):
        desk.look_up(some)


def expect_plots(desk: Desk, typed: Iterable[str]) -> list[Plot]:
    """Take in plots by their exact codes, with their field weights and what came in from them before."""
    plots: list[Plot] = []
    for some in in_parts(sorted(set(typed))):
        rows = Plot.objects.filter(station=desk.station, code__in=some, taken_back=False)
        plots.extend(rows.select_related("line__market_class", "site"))
    desk.found.update({(find_plot, plot.code): (plot, ()) for plot in plots})
    for part in in_parts(plots):
        weights = field_weights(part)
        desk.weights.update({plot.pk: weights.get(plot.pk) for plot in part})
    _expect_deliveries(desk, plots)
    return plots


def _expect_deliveries(desk: Desk, plots: Sequence[Plot]) -> None:
    """Group earlier deliveries by their plots and day; a group that is not there is then known to be empty."""
    groups: defaultdict[tuple[frozenset[int], date], list[tuple[str, int]]] = defaultdict(list)
    for sources, at, number, net in deliveries_from(desk.station, [plot.pk for plot in plots]):
        day = desk.local_day(at)
        groups[(sources, day)].append((number, net))
        for plot_id in sources:
            desk.came.setdefault(plot_id, []).append((number, net, day))
    desk.seen.update({("delivery", *group): found for group, found in groups.items()})
    desk.expected_plots |= {plot.pk for plot in plots}


def expect_words(desk: Desk, *, lines: Iterable[str] = (), places: Iterable[str] = ()) -> None:
    """Take in lines by any of their names, and places by their codes."""
    found: dict[tuple[Any, str], tuple[Line | Place, tuple[()]]] = {}
    for some in in_parts(sorted(set(lines))):
        names = LineName.objects.filter(station=desk.station, name__in=some)
        for name in names.select_related("line__market_class", "line__merged_into"):
            found[(find_line, name.name)] = (line_of(name), ())
    for some in in_parts(sorted(set(places))):
        for place in Place.objects.filter(station=desk.station, code__in=some):
            found[(find_place, place.code)] = (place, ())
    desk.found.update(found)


def expect_floor(desk: Desk, code: str) -> None:
    """Take in the place at which seed stands where nobody said another; it is set up where it is not yet.

    Args:
        code: of the place: the intake floor, or the end of the line.
    """
    place, _made = Place.objects.get_or_create(station=desk.station, code=code)
    desk.found[(find_place, place.code)] = (place, ())


def _readable(text: str) -> LotNumber | None:
    try:
        return read_lot_number(text).value
    except Mistake:
        return None
