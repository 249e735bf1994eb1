"""What a delivery is held against: the field's weights, and what came in before it from the same source."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime

from inventory.actions.desk import Desk
from inventory.actions.expecting import expect_plots
from inventory.actions.reader import Reader
from inventory.models import FieldWeight, Line, Plant, Plot, Sender
from inventory.queries.deliveries import deliveries_of_sender
from inventory.rules import deliveries as rules
from inventory.rules.mistakes import Mistake


@dataclass(frozen=True)
class Weighed:
    """Gross, tare and net of a delivery [mg]."""

    gross: int
    tare: int
    net: int


@dataclass
class Origins:
    """Where a delivery came from, as found in the books."""

    plots: list[Plot] = field(default_factory=list)
    plants: list[Plant] = field(default_factory=list)
    cross_id: int | None = None
    sender: Sender | None = None

    @property
    def lines(self) -> list[Line]:
        """The lines that plots and plants stand for, each once."""
        lines = [plot.line for plot in self.plots] + [plant.plot.line for plant in self.plants]
        return list({line.pk: line for line in lines}.values())


def ask_about_weight(reader: Reader, origins: Origins, weighed: Weighed, at: datetime) -> None:
    """Ask about a delivery that is in already, or whose net is far from what its plots weighed in the field."""
    codes = [plot.code for plot in origins.plots]
    same: list[Mistake] = []
    if origins.plots or origins.plants:
        same = rules.double_entry(weighed.net, codes, _like_it(reader, origins, at))
        reader.add(*same)
    elif origins.sender:
        reader.add(*rules.sent_twice(weighed.net, str(origins.sender), _sent_like_it(reader, origins.sender, at)))
    weights = known_weights(reader.desk, origins.plots)
    asked: list[Mistake] = []
    if origins.plots and len(weights) == len(origins.plots):
        asked = rules.weight_questions(weighed.net, sum(weight.mg for weight in weights), codes)
    before = [came for plot in origins.plots for came in reader.desk.came.get(plot.pk, ())]
    if before and not same:  # what the field weighed came in several bags: one bag can be less of it, and never more
        reader.notes.append(rules.CameBefore(codes, before))
        asked = [] if weighed.net < sum(weight.mg for weight in weights) else asked
    reader.add(*asked)


def _like_it(reader: Reader, origins: Origins, at: datetime) -> list[tuple[str, int]]:
    """Deliveries of the same plots on the same day, in the books and on this desk: lot number and net [mg]."""
    plots, day = frozenset(plot.pk for plot in origins.plots), reader.desk.local_day(at)
    what = ("delivery", plots, day)
    if not plots <= reader.desk.expected_plots:
        expect_plots(reader.desk, [plot.code for plot in origins.plots])
    return reader.desk.seen.setdefault(what, [])


def _sent_like_it(reader: Reader, sender: Sender, at: datetime) -> list[tuple[str, int]]:
    """Deliveries of that lot of the sender on the same day, in the books and on this desk: lot number and net [mg]."""
    day = reader.desk.local_day(at)
    what = ("sent", sender.name.casefold(), sender.their_lot.casefold(), day)
    if what not in reader.desk.seen:
        came = deliveries_of_sender(reader.desk.station, sender.name, sender.their_lot)
        reader.desk.seen[what] = [(lot, net) for when, lot, net in came if reader.desk.local_day(when) == day]
    return reader.desk.seen[what]


def remember(reader: Reader, origins: Origins, at: datetime, what: tuple[str, int]) -> None:
    """Let later plans on this desk see that these plots delivered."""
    if origins.sender:
        _sent_like_it(reader, origins.sender, at).append(what)
    _like_it(reader, origins, at).append(what)
    for plot in origins.plots:
        reader.desk.came.setdefault(plot.pk, []).append((*what, reader.desk.local_day(at)))


def known_weights(desk: Desk, plots: Sequence[Plot]) -> list[FieldWeight]:
    """The field weights that are known, in the order of the plots."""
    unknown = [plot.code for plot in plots if plot.pk not in desk.weights]
    if unknown:
        expect_plots(desk, unknown)
    return [weight for plot in plots if (weight := desk.weights[plot.pk]) is not None]
