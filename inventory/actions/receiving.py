"""Receive seed: from our plots, plants and crosses, or from a sender outside."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.contrib.auth.models import User

from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Typed
from inventory.actions.drafts import Draft, LinkDraft, links_to_lot, outside, seed
from inventory.actions.expecting import expect_lots, expect_plots, expect_words
from inventory.actions.guarding import width_mistakes
from inventory.actions.posting import post_all
from inventory.actions.reader import Missing, Reader
from inventory.actions.weighing_against import Origins, Weighed, ask_about_weight, known_weights, remember
from inventory.models import (
    Container,
    Identity,
    Line,
    Lot,
    Moisture,
    Receipt,
    Sender,
    Station,
)  # fmt: skip
from inventory.rules import deliveries as rules
from inventory.rules.containers import carry_words
from inventory.rules.mass import ReadMass, in_kg, net_mg, net_mistakes, read_mass
from inventory.rules.nodes import NodeKind

_OR_ELSE = "plots, plants, cross or sender says where it comes from"


@dataclass(frozen=True, kw_only=True)
class Delivery:
    """One delivery as it was typed: masses in `unit` unless they carry their own; without a place on the floor."""

    plots: Sequence[str] = field(default=(), metadata={"looks": f"where it grew, such as QM25-I2; {_OR_ELSE}"})
    plants: Sequence[str] = field(default=(), metadata={"looks": f"single plants, by their codes; {_OR_ELSE}"})
    cross: str = field(default="", metadata={"looks": f"a cross, by its code, for its own seed; {_OR_ELSE}"})
    sender: str = field(default="", metadata={"looks": f"who sent it, for seed from outside; {_OR_ELSE}"})
    their_lot: str = field(default="", metadata={"looks": "the sender's own number of it"})
    kind_and_variety: str = field(default="", metadata={"looks": "what the sender calls it"})
    shipped_on: Typed = None
    carrier: str = ""
    lot: Typed = None
    line: str = ""
    gross: Typed = field(default=None, metadata={"looks": "with its container, such as 842, or 842 kg; or net alone"})
    tare: Typed = field(default=None, metadata={"looks": "of the empty container, such as 42, or 42 kg; or containers"})
    containers: Sequence[str] = field(default=(), metadata={"looks": "entered containers it came in, for their tare"})
    net: Typed = field(default=None, metadata={"looks": "without a container, such as 800, or 800 kg; or gross"})
    unit: str = "kg"
    moisture: Typed = None
    place: str = ""
    crop_year: int | None = None
    generation: int | None = None
    remarks: str = ""
    at: Typed = None


@action("receive")
def receive(
    delivery: Delivery, *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Receive one delivery: `receive_all` with one."""
    return receive_all([delivery], station=station, by=by, key=key, reason=reason, answers=answers, now=now)


@action("receive")
def receive_all(
    deliveries: Sequence[Delivery], *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Receive deliveries, each into a lot of its own; all or none.

    Args:
        answers: code of a question -> the reason for going on; kept with the act.
        now: the clock; a later date is refused.

    Raises:
        Refused: everything that stands in the way of the first delivery that cannot be booked.
    """
    desk = Desk(station, now)
    expect_deliveries(desk, deliveries)
    drafts = []
    for delivery in deliveries:
        reader = Reader(desk, answers)
        drafts.append(plan_delivery(reader, delivery, by=by, key=key, reason=reason))
    return Booked(tuple(post_all(drafts)))


def expect_deliveries(desk: Desk, deliveries: Sequence[Delivery]) -> None:
    """Look up at once what these deliveries name."""
    expect_lots(desk, [delivery.lot for delivery in deliveries if delivery.lot not in (None, "")])
    expect_plots(desk, [code for delivery in deliveries for code in delivery.plots])
    expect_words(
        desk, lines=[each.line for each in deliveries], places=[each.place or desk.station.floor for each in deliveries]
    )


def plan_delivery(reader: Reader, delivery: Delivery, *, by: User, key: str = "", reason: str = "") -> Draft:
    """Plan a delivery on the reader's desk.

    Raises:
        Refused: all that stands in the way of this delivery.
    """
    at = reader.when(delivery.at)
    reader.note_typed(**{name: value for name, value in vars(delivery).items() if name != "unit"})
    origins = _origins(reader, delivery, at)
    line = _line(reader, delivery, origins)
    weighed = _weighed(reader, delivery)
    place = reader.place(delivery.place or reader.desk.station.floor)
    moisture = reader.moisture(delivery.moisture)
    if weighed:
        ask_about_weight(reader, origins, weighed, at)
    lot = reader.attempt(lambda: reader.desk.new_lot(delivery.lot, at, reader.notes))
    facts = reader.finish()
    if lot is None or weighed is None or place is None:
        raise AssertionError("finish() lets nothing unread through")
    remember(reader, origins, at, (lot.number, weighed.net))
    links = _links(reader.desk, origins, lot, weighed.net)
    station, account = reader.desk.station, "received" if origins.sender else "harvested"
    rows: list[Any] = [
        Receipt(station=station, lot=lot, gross_mg=weighed.gross, tare_mg=weighed.tare, net_mg=weighed.net),
        _identity(delivery, lot, line, weighed, origins),
    ]
    if moisture is not None:
        rows.append(Moisture(station=station, lot=lot, wet_basis_pct=str(moisture)))
    entries = [outside(account, -weighed.net), seed(lot.pk, place.pk, weighed.net)]
    draft = Draft(
        kind="receive", station=reader.desk.station, by=by, at=at, reason=reason, key=key,
        facts=facts, entries=entries, links=links, rows=rows,
    )  # fmt: skip
    return reader.desk.plan(draft)


def _origins(reader: Reader, delivery: Delivery, at: datetime) -> Origins:
    plots = [plot for typed in delivery.plots if (plot := reader.plot(typed)) is not None]
    plants = [plant for typed in delivery.plants if (plant := reader.plant(typed)) is not None]
    cross = reader.cross(delivery.cross) if delivery.cross else None
    if not (delivery.plots or delivery.plants or delivery.cross or delivery.sender):
        reader.add(Missing("plot", "QM24-I1, or the sender of seed from outside"))
    return Origins(plots, plants, cross.pk if cross else None, _sender(reader, delivery, at))


def _sender(reader: Reader, delivery: Delivery, came: datetime) -> Sender | None:
    if not delivery.sender:
        return None
    if not delivery.their_lot:
        reader.add(Missing("their_lot", "the number on the sender's label"))
    shipped = reader.when(delivery.shipped_on, "shipped_on") if delivery.shipped_on else None
    if shipped and reader.desk.local_day(shipped) > reader.desk.local_day(came):
        reader.add(rules.SentAfterItCame(reader.desk.local_day(shipped), reader.desk.local_day(came)))
    sender = Sender(
        station=reader.desk.station,
        name=delivery.sender,
        their_lot=delivery.their_lot,
        kind_and_variety=delivery.kind_and_variety,
        carrier=delivery.carrier,
        shipped_on=reader.desk.local_day(shipped) if shipped else None,
    )
    reader.add(*width_mistakes(sender))
    return sender


def _line(reader: Reader, delivery: Delivery, origins: Origins) -> Line | None:
    """The line that was named, else the one that the plots stand for; asked about where they differ."""
    named = reader.line(delivery.line) if delivery.line else None
    lines = origins.lines
    if len(lines) > 1:
        reader.add(rules.PlotsOfSeveralLines([line.name for line in lines]))
    if named and lines and named.pk != lines[0].pk:
        reader.add(rules.LineDiffers(named.name, lines[0].name))
    if not named and not lines and not delivery.cross and not reader.has_errors:
        reader.add(Missing("line", "QN-2104"))
    return named or (lines[0] if lines else None)


def _weighed(reader: Reader, delivery: Delivery) -> Weighed | None:
    gross = reader.mass(delivery.gross, "gross", delivery.unit, needed=delivery.net in (None, ""))
    tare = _tare(reader, delivery)
    net = reader.mass(delivery.net, "net", delivery.unit, needed=False)
    if gross is None:
        return Weighed(net.mg, 0, net.mg) if net and net.mg else None
    taken_off = tare or read_mass(0, unit=gross.unit)
    if net is not None:
        reader.add(*net_mistakes(gross, taken_off, net))
    mg = reader.attempt(lambda: net_mg(gross, taken_off))
    if mg == 0:
        reader.add(rules.NothingInIt(gross.words))
    return Weighed(gross.mg, taken_off.mg, mg) if mg else None


def _tare(reader: Reader, delivery: Delivery) -> ReadMass | None:
    """The tare that was typed, else the sum of the containers' checked tares."""
    if delivery.tare not in (None, "") or not delivery.containers:
        return reader.mass(delivery.tare, "tare", delivery.unit, needed=False)
    containers: list[Container] = [
        found for typed in carry_words(delivery.containers) if (found := reader.container(typed)) is not None
    ]
    reader.notes.extend(
        rules.old_tares([(row.code, row.checked_on) for row in containers], reader.desk.local_day(reader.desk.now))
    )
    return in_kg(sum(row.tare_mg for row in containers))


def _links(desk: Desk, origins: Origins, lot: Lot, net: int) -> list[LinkDraft]:
    """Link the lot to its sources: by field weights where all are known, else equally and marked assumed."""
    if origins.sender is not None:
        origins.sender.save()
        return links_to_lot(lot.pk, [(NodeKind.SENDER, origins.sender.pk, net)])
    if origins.cross_id is not None and not origins.plots:
        return links_to_lot(lot.pk, [(NodeKind.CROSS, origins.cross_id, net)])
    sources = [(NodeKind.PLOT, plot.pk) for plot in origins.plots] + [(NodeKind.PLANT, p.pk) for p in origins.plants]
    if len(sources) == 1:
        return links_to_lot(lot.pk, [(*sources[0], net)])
    weights = known_weights(desk, origins.plots)
    if len(weights) == len(sources) and not any(weight.is_estimate for weight in weights):
        return links_to_lot(lot.pk, [(NodeKind.PLOT, weight.plot_id, weight.mg) for weight in weights])
    return links_to_lot(lot.pk, [(kind, key, 1) for kind, key in sources], is_assumed=True)


def _identity(delivery: Delivery, lot: Lot, line: Line | None, weighed: Weighed, origins: Origins) -> Identity:
    season = origins.plots[0].season if origins.plots else None
    return Identity(
        station_id=lot.station_id,
        lot=lot,
        line=line,
        market_class=line.market_class if line else None,
        opening_mg=weighed.net,
        crop_year=delivery.crop_year or season,
        generation=delivery.generation,
    )
