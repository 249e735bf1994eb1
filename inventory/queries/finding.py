"""Find a thing by what people call it: exactly first, then as forgivingly as it can be read with certainty."""

from collections.abc import Callable, Iterable
from typing import Protocol, TypeVar

from inventory.models import (
    Container,
    Cross,
    Line,
    LineName,
    Lot,
    MarketClass,
    Place,
    Plant,
    Plot,
    Site,
    Standing,
    Station,
)
from inventory.rules.codes import read_code
from inventory.rules.containers import read_container
from inventory.rules.lot_number import CheckDigitWrong, near_numbers, read_lot_number
from inventory.rules.mass import kg_words
from inventory.rules.mistakes import Mistake, Note
from inventory.rules.reading import UNKEPT

T_co = TypeVar("T_co", covariant=True)
T = TypeVar("T")
Found = tuple[T, tuple[Note, ...]]


class Find(Protocol[T_co]):
    """One of the finders below."""

    def __call__(self, station: Station, typed: str, *, field: str = ...) -> Found[T_co]:
        """Find it, or raise a `Mistake`."""


class UnknownLot(Mistake):
    """No lot of this number holds or held seed."""

    code = "unknown_lot"

    def __init__(self, number: str, *, field: str = "lot") -> None:
        super().__init__(f"No lot {number} is in the books. Check the label, or receive it first.", field=field)


def find_line(station: Station, typed: str, *, field: str = "line") -> Found[Line]:
    """Find a line by any name it ever had (1 query; 1 more to read it forgivingly).

    Raises:
        Mistake: no line is called so; the nearest names are proposed.
    """
    names = LineName.objects.filter(station=station).select_related("line__market_class", "line__merged_into")
    return _find(
        "line", typed, field, lambda code: _line_named(names.filter(name=code).first()), lambda: _column(names, "name")
    )


def _line_named(name: LineName | None) -> Line | None:
    return line_of(name) if name else None


def line_of(name: LineName) -> Line:
    """The line that a name stands for now; a merged line's names stand for what it was merged into."""
    return name.line.merged_into or name.line


def find_class(station: Station, typed: str, *, field: str = "market_class") -> Found[MarketClass]:
    """Find a market class by its name."""
    classes = MarketClass.objects.filter(station=station)
    return _find(
        "market class", typed, field, lambda code: classes.filter(name=code).first(), lambda: _column(classes, "name")
    )


def find_site(station: Station, typed: str, *, field: str = "site") -> Found[Site]:
    """Find a site by its code."""
    sites = Site.objects.filter(station=station)
    return _find("site", typed, field, lambda code: sites.filter(code=code).first(), lambda: _column(sites, "code"))


def find_place(station: Station, typed: str, *, field: str = "place") -> Found[Place]:
    """Find a place by its code."""
    places = Place.objects.filter(station=station)
    return _find("place", typed, field, lambda code: places.filter(code=code).first(), lambda: _column(places, "code"))


def find_plot(station: Station, typed: str, *, field: str = "plot") -> Found[Plot]:
    """Find a plot or block by its code."""
    plots = Plot.objects.filter(station=station, taken_back=False).select_related("line__market_class", "site")
    return _find("plot", typed, field, lambda code: plots.filter(code=code).first(), lambda: _column(plots, "code"))


def find_plant(station: Station, typed: str, *, field: str = "plant") -> Found[Plant]:
    """Find a single plant or row by its number."""
    plants = Plant.objects.filter(station=station).select_related("plot__line__market_class")
    return _find(
        "plant", typed, field, lambda code: plants.filter(number=code).first(), lambda: _column(plants, "number")
    )


def find_cross(station: Station, typed: str, *, field: str = "cross") -> Found[Cross]:
    """Find a cross by its code."""
    crosses = Cross.objects.filter(station=station).select_related("female", "male")
    return _find(
        "cross", typed, field, lambda code: crosses.filter(code=code).first(), lambda: _column(crosses, "code")
    )


def find_container(station: Station, typed: str, *, field: str = "container") -> Found[Container]:
    """Find a container by its code, or by the number or kind and number that only one has (at most 3 queries).

    Raises:
        Mistake: none is called so, or several are.
    """
    containers = Container.objects.filter(station=station)
    found = None if UNKEPT.search(typed) else containers.filter(code=typed).first()
    if found is not None:
        return found, ()
    read = read_container(typed, dict(containers.values_list("code", "kind")), field=field)
    return containers.get(code=read.value), read.notes


def find_lot(station: Station, typed: str, *, field: str = "lot", whole: bool = False) -> Found[Lot]:
    """Find a lot by its number, made or once made (1 query).

    Args:
        whole: with its line, its class and the act that made it.

    Raises:
        Mistake: it does not check, with the number that was probably meant; or it is unknown.
    """
    try:
        read = read_lot_number(typed, field=field)
    except CheckDigitWrong as wrong:
        raise CheckDigitWrong(wrong.typed, field=field, did_you_mean=_meant(station, typed)) from wrong
    with_it = [f"standing__{name}" for name in ("line", "market_class", "made_by")] if whole else ["standing"]
    lot = Lot.objects.filter(station=station, number=read.value.text).select_related(*with_it).first()
    if lot is None:
        raise UnknownLot(read.value.text, field=field)
    lot.station = station  # whoever asks the lot for it needs no query
    return lot, read.notes


def _meant(station: Station, typed: str) -> tuple[str, ...]:
    """Word those near numbers that are in the books, with line and kilograms, as people know their lots."""
    numbers = [number.text for number in near_numbers(typed)]
    standings = Standing.objects.filter(station=station, lot__number__in=numbers, made_by__isnull=False)
    rows = standings.select_related("lot", "line").prefetch_related("lot__stock")
    by_number = {standing.lot.number: standing for standing in rows}
    return tuple(_described(by_number[number]) for number in numbers if number in by_number)[:3]


def _described(standing: Standing) -> str:
    left = sum(stock.mg for stock in standing.lot.stock.all())
    return f"{standing.lot.number} ({standing.line or 'blend'}, {kg_words(left)} kg)"


def _find(
    kind: str, typed: str, field: str, exact: Callable[[str], T | None], known: Callable[[], Iterable[str]]
) -> Found[T]:
    found = None if UNKEPT.search(typed) else exact(typed)
    if found is not None:
        return found, ()
    read = read_code(typed, list(known()), kind=kind, field=field)
    found = exact(read.value)
    if found is None:
        raise LookupError(f"{read.value} was listed and is gone: read again.")
    return found, read.notes


def _column(rows: Iterable[object], name: str) -> Iterable[str]:
    return rows.values_list(name, flat=True)  # type: ignore[attr-defined, no-any-return]
