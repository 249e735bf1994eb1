"""What a sender is told of a lot: gross, clean-out by stream, loss, clean yield; it adds up to the milligram."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.db.models import Count, Q, Sum
from django.db.models.functions import Coalesce
from django.utils.translation import gettext

from inventory.drawing.ribbon import Part as Flow
from inventory.drawing.ribbon import Ribbon, ribbon
from inventory.models import Entry, Link, Lot, Receipt, Standing, Station, Stock
from inventory.papers.paper import Band, Facts, Heading, Paper, Table, Words
from inventory.queries.finding import find_lot
from inventory.queries.label_texts import origins_of, scan_address
from inventory.queries.papers.common import day, digits_of, foot, kg, percent
from inventory.rules.kinds import MAKING
from inventory.rules.mistakes import Mistake
from inventory.rules.nodes import NodeKind, key_of, kind_of, node

RUNS = ("clean", "size", "sort", "late addition")
_INSIDE = (*RUNS, "receive", "split")  # acts that keep the seed in this lot's own family


class NotReceived(Mistake):
    """A lot that nobody sent or harvested."""

    code = "not_received"

    def __init__(self, lot: str) -> None:
        super().__init__(
            f"{lot} was made here, not received. Ask for the statement of the lot that came in.", field="lot"
        )


@dataclass(frozen=True)
class Statement:
    """Where a received lot went [mg].

    Args:
        gross, tare, net: as on the scale.
        streams: taken off on the line, by stream.
        unaccounted: lost in runs.
        other: kind of act -> what else left the family of lots (samples, shipments, blends …); negative came to it.
        left: in store, all lots of the family together.
        clean: came off the line and was not fed to it again.
        family: numbers of the lot and of what was made of it alone.
    """

    lot: Lot
    gross: int
    tare: int
    net: int
    streams: Mapping[str, int]
    unaccounted: int
    other: Mapping[str, int]
    left: int
    clean: int
    family: tuple[str, ...]

    @property
    def difference(self) -> int:
        """What is missing or too much [mg]: always 0."""
        return self.net - sum(self.streams.values()) - self.unaccounted - sum(self.other.values()) - self.left


def statement_of(station: Station, typed: str) -> Statement:
    """Follow a received lot to where all of it went (about 10 queries, 1 more for each step of making).

    Seed that was blended with another's is followed to the blend and no further.

    Raises:
        Mistake: the lot is not known, or was not received.
    """
    lot, _notes = find_lot(station, typed)
    receipt = Receipt.objects.filter(lot=lot, operation__reversed_by__isnull=True).order_by("operation__seq").last()
    if receipt is None:
        raise NotReceived(lot.number)
    family = _family(lot)
    kind = Coalesce("operation__reverses__kind", "operation__kind")
    moved = dict(
        Entry.objects.filter(lot__in=family).annotate(kind=kind).values_list("kind").annotate(Sum("mg")).order_by()
    )
    streams, lost = _taken_off(family, moved)
    return Statement(
        lot=lot,
        gross=receipt.gross_mg,
        tare=receipt.tare_mg,
        net=receipt.net_mg,
        streams=streams,
        unaccounted=lost,
        other={one: -mg for one, mg in sorted(moved.items()) if one not in _INSIDE and mg},
        left=Stock.objects.filter(lot__in=family).aggregate(all=Sum("mg"))["all"] or 0,
        clean=_clean(family, lot.pk),
        family=tuple(Lot.objects.filter(pk__in=family).order_by("pk").values_list("number", flat=True)),
    )


def _family(lot: Lot) -> set[int]:
    """The lot, and what was made of it and nothing else."""
    family, ring = {lot.pk}, {lot.pk}
    while ring:
        nodes = [node(NodeKind.LOT, key) for key in ring]
        links = Link.objects.filter(parent__in=nodes, is_sowing=False, operation__kind__in=MAKING)
        made = {key_of(child) for child in links.values_list("child", flat=True) if kind_of(child) is NodeKind.LOT}
        sources = Link.objects.filter(child__in=[node(NodeKind.LOT, key) for key in made - family], is_sowing=False)
        mixed = {
            key_of(child) for child, parent in sources.values_list("child", "parent") if not _is_in(parent, family)
        }
        ring = made - family - mixed
        family |= ring
    return family


def _is_in(parent: int, family: set[int]) -> bool:
    return kind_of(parent) is NodeKind.LOT and key_of(parent) in family


def _taken_off(family: set[int], moved: Mapping[str, int]) -> tuple[dict[str, int], int]:
    """What the line took off by stream, and what of the rest is unaccounted [mg] (1 query)."""
    acts = Entry.objects.filter(lot__in=family).values("operation")
    entries = Entry.objects.filter(operation__in=acts, account="screenings")
    streams = {one: mg for one, mg in entries.values_list("stream").annotate(Sum("mg")).order_by("stream") if mg}
    lost = -sum(mg for kind, mg in moved.items() if kind in RUNS) - sum(streams.values())
    return streams, lost


def _clean(family: set[int], received: int) -> int:
    """What came off the line and was not fed to it again [mg] (1 query)."""
    by_run = Q(operation__kind__in=RUNS) | Q(operation__reverses__kind__in=RUNS)
    rows = Entry.objects.filter(by_run, lot__in=family - {received}).order_by()
    fed = Count("pk", filter=Q(mg__lt=0, operation__reversed_by=None, operation__reverses=None))
    made = rows.values("lot").annotate(made=Sum("mg"), fed=fed)
    return sum(row["made"] for row in made if not row["fed"])


def statement_paper(station: Station, typed: str, address: str) -> tuple[str, Paper]:
    """Write what the sender of a lot is told.

    Returns:
        The lot's number, and the paper.

    Raises:
        Mistake: as `statement_of`.
    """
    told = statement_of(station, typed)
    standing = Standing.objects.select_related("line", "market_class", "made_by").get(lot=told.lot)
    digits = digits_of(told.lot)
    parts = (
        _received(station, told, standing),
        Words(statement_says(told)),
        Heading(gettext("Where it went")),
        _band(told),
        _table(told),
        Words(_followed(told)),
    )
    paper = Paper(
        title=gettext("Statement for %(lot)s") % {"lot": told.lot.number},
        under=f"{station.name} · {gettext('from %(who)s') % {'who': ', '.join(_senders(told.lot))}}",
        parts=parts,
        foot=foot(station),
        digits=digits,
        address=scan_address(address, digits),
    )
    return told.lot.number, paper


def statement_says(told: Statement) -> str:
    """Say in one sentence what became of it on the line."""
    if not told.clean:
        return gettext("None of it has been cleaned yet.")
    words = gettext("Of %(net)s received, %(clean)s came clean off the line: a clean yield of %(percent)s.")
    return words % {"net": kg(told.net), "clean": kg(told.clean), "percent": percent(told.clean, told.net)}


def _received(station: Station, told: Statement, standing: Standing) -> Facts:
    line = standing.line.name if standing.line else gettext("blend")
    rows = (
        (gettext("Received on"), day(standing.made_at, station)),
        (gettext("Line and class"), f"{line} {standing.market_class or ''}".strip()),
        (gettext("Gross"), kg(told.gross)),
        (gettext("Tare"), kg(told.tare)),
        (gettext("Net"), kg(told.net)),
    )
    return Facts(rows)


def statement_rows(told: Statement) -> Iterable[tuple[str, int, str]]:
    """List where it went: name, mass [mg], and how the ribbon draws it; all together are the net received."""
    for stream, mg in told.streams.items():
        yield stream, mg, "gone"
    for kind, mg in told.other.items():
        yield _OTHER.get(kind, kind), mg, "gone"
    yield gettext("in store"), told.left, "left"
    yield gettext("unaccounted on the line"), told.unaccounted, "unaccounted"


_OTHER = {"sample": "samples", "test": "tests", "ship": "shipped", "sow": "sown", "blend": "went into blends",
          "bag": "spilled at bagging", "dry": "water dried off", "write off": "written off", "adjust": "put right",
          "count": "found at counts", "return": "came back", "treat": "put on by treating"}  # fmt: skip


def statement_ribbon(told: Statement) -> Ribbon:
    """Draw where it went."""
    return ribbon([Flow(max(0, mg), kind, f"{name} {kg(mg)}") for name, mg, kind in statement_rows(told)])


def _band(told: Statement) -> Band:
    return Band(statement_ribbon(told), tuple(f"{name} {kg(mg)}" for name, mg, _kind in statement_rows(told)))


def _table(told: Statement) -> Table:
    rows = [(name, kg(mg), percent(mg, told.net)) for name, mg, _kind in statement_rows(told)]
    rows.append((gettext("net received"), kg(told.net), percent(told.net, told.net)))
    return Table((gettext("Part"), gettext("Mass"), gettext("of the net")), tuple(rows), frozenset({1, 2}))


def _followed(told: Statement) -> str:
    if len(told.family) == 1:
        return gettext("Nothing was made of it yet.")
    return gettext("Counted together: %(lots)s.") % {"lots": ", ".join(told.family)}


def _senders(lot: Lot) -> list[str]:
    return origins_of([lot.pk]).get(lot.pk, []) or [gettext("an unknown sender")]
