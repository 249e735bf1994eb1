"""Lines with every name they ever had, and what goes over when two of them are one."""

from collections import Counter, defaultdict
from dataclasses import dataclass, field

from django.db.models import Q, Sum

from inventory.models import Cross, Line, LineName, Plot, Standing, Station, Stock


@dataclass(frozen=True)
class NamedLine:
    """A line as a list shows it.

    Attributes:
        names: all others that find it.
        mg: what is in store of its lots [mg].
    """

    line: Line
    names: tuple[str, ...]
    plots: int
    lots: int
    mg: int


@dataclass(frozen=True)
class GoesOver:
    """What goes over to a line when another is merged into it.

    Attributes:
        lots: numbers of the lots, those in store first to be thought of.
        mg: what is in store of these [mg].
        other_class: whether the two are of different market classes.
    """

    line: Line
    into: Line
    names: tuple[str, ...]
    plots: tuple[str, ...]
    crosses: tuple[str, ...]
    lots: tuple[str, ...] = field(default=())
    mg: int = 0

    @property
    def other_class(self) -> bool:
        """Whether the lots would get another market class."""
        return self.line.market_class_id != self.into.market_class_id


def named_lines(station: Station) -> list[NamedLine]:
    """List the lines that stand, by name (5 queries)."""
    names: dict[int, list[str]] = defaultdict(list)
    for line_id, name in LineName.objects.filter(station=station).order_by("name").values_list("line_id", "name"):
        names[line_id].append(name)
    plots = Counter(Plot.objects.filter(station=station).values_list("line_id", flat=True))
    made = Standing.objects.filter(station=station, made_by__isnull=False)
    lots = Counter(made.values_list("line_id", flat=True))
    in_store = Stock.objects.filter(station=station, mg__gt=0).values_list("lot__standing__line_id")
    mg = dict(in_store.annotate(left=Sum("mg")))
    lines = Line.objects.filter(station=station, merged_into__isnull=True).select_related("market_class", "cross")
    return [
        NamedLine(
            line, tuple(name for name in names[line.pk] if name != line.name), plots[line.pk], lots[line.pk],
            mg.get(line.pk, 0),
        )
        for line in lines.order_by("name")
    ]  # fmt: skip


def goes_over(line: Line, into: Line) -> GoesOver:
    """Say what a merge would take over, before it is done (5 queries)."""
    lots = Standing.objects.filter(line=line, made_by__isnull=False).order_by("lot_id")
    crosses = Cross.objects.filter(Q(female=line) | Q(male=line)).order_by("code")
    left = Stock.objects.filter(lot__standing__line=line, mg__gt=0).aggregate(left=Sum("mg"))["left"]
    return GoesOver(
        line, into, tuple(LineName.objects.filter(line=line).order_by("name").values_list("name", flat=True)),
        tuple(Plot.objects.filter(line=line).order_by("code").values_list("code", flat=True)),
        tuple(crosses.values_list("code", flat=True)), tuple(lots.values_list("lot__number", flat=True)), left or 0,
    )  # fmt: skip
