"""Adjust what came in, found out after the seed was used: a signed entry against harvested, with its reason.

A positive adjustment adds to the lot's stock and a negative one takes from it. Where the lot is used up, what was
too much or too little went through its run, so the adjustment moves mass between harvested and that run's unaccounted.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.models import User

from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Known, Typed
from inventory.actions.drafts import Draft, EntryDraft, outside, seed
from inventory.actions.posting import post
from inventory.actions.reader import Missing, Reader, sure
from inventory.actions.taking import take
from inventory.models import Entry, RunRecord, Standing, Station
from inventory.rules.mass import kg_words
from inventory.rules.mistakes import Mistake
from inventory.rules.reading import plain, quoted, typed_text


class LotUsedUp(Mistake):
    """Nothing is left to add to or take from."""

    code = "lot_used_up"

    def __init__(self, lot: str) -> None:
        super().__init__(
            f"Nothing is left of {lot}. Name the run that it was fed to: its unaccounted mass takes the adjustment.",
            field="against_run",
        )


class NoSuchRun(Mistake):
    """No run of that number was fed with the lot."""

    code = "no_such_run"

    def __init__(self, run: str, lot: str) -> None:
        super().__init__(f"No run {quoted(run)} was fed with {lot}. Check the run's number.", field="against_run")


class RunLostLess(Mistake):
    """The run has less unaccounted mass than is taken off."""

    code = "run_lost_less"

    def __init__(self, run: str, lost_mg: int, asked_mg: int) -> None:
        super().__init__(
            f"{run} left {kg_words(lost_mg)} kg unaccounted; this takes {kg_words(asked_mg)} off. "
            "Check the mass, or name another run.",
            field="mass",
        )


@dataclass(frozen=True, kw_only=True)
class Adjustment:
    """An adjustment as it was typed; the mass carries its sign: "+13.5" or "-2.0 kg"."""

    lot: Typed
    mass: Typed
    place: str = ""
    bags: Typed = ""
    against_run: str = ""
    unit: str = "kg"
    at: Typed = None


@action("adjust")
def adjust(
    adjustment: Adjustment, *, station: Station, by: User, reason: str = "", key: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Adjust the mass that a lot brought in.

    Raises:
        Refused: no reason, less is left than is taken off, or a used-up lot's run is not named.
    """
    reader = Reader(Desk(station, now), answers)
    at, why = reader.when(adjustment.at), reader.reason(reason, "an adjustment")
    reader.note_typed(**vars(adjustment))
    known = reader.lot(adjustment.lot)
    sign, unsigned = _signed(adjustment.mass)
    mass = reader.positive(unsigned, "mass", adjustment.unit)
    run = _run(reader, known, adjustment.against_run) if known and adjustment.against_run else None
    entries: list[EntryDraft] = []
    if known and mass:
        entries = _entries(reader, adjustment, known, sign * mass.mg, run)
    facts = reader.finish()
    facts["lot"], facts["mg"] = sure(known).lot.number, sign * sure(mass).mg
    draft = Draft(
        kind="adjust", station=station, by=by, at=at, reason=why, key=key, facts=facts, entries=entries,
        about=run.operation if run else None,
    )  # fmt: skip
    return Booked((post(draft),))


def _signed(typed: Typed) -> tuple[int, Typed]:
    """Take the sign off a mass: "-2.0 kg" -> -1, "2.0 kg"."""
    match = re.fullmatch(r"([+-]) ?(.*)", plain(typed_text(typed)))
    if match is None:
        return 1, typed
    return (-1 if match[1] == "-" else 1), match[2]


def _entries(
    reader: Reader, adjustment: Adjustment, known: Known, mg: int, run: RunRecord | None
) -> list[EntryDraft]:  # fmt: skip
    account = _account_of(known)
    if run is not None:
        lost = _unaccounted_of(run)
        if lost + mg < 0:
            reader.add(RunLostLess(run.number, lost, -mg))
        return [outside(account, -mg), outside("unaccounted", mg)]
    if adjustment.against_run:
        return []
    if not any(reader.desk.stock(known.lot).values()):
        reader.add(LotUsedUp(known.lot.number))
        return []
    if mg < 0:
        taken = take(reader, known, -mg, place=adjustment.place, bags=adjustment.bags)
        return [*taken.entries, outside(account, -mg)] if taken else []
    place = reader.place(adjustment.place) if adjustment.place else reader.desk.place_of(known.lot)
    if place is None and not adjustment.place:
        reader.add(Missing("place", "A-01"))
    return [outside(account, -mg), seed(known.lot.pk, place.pk, mg)] if place else []


def _account_of(known: Known) -> str:
    """Seed that a sender brought is adjusted against received, all other against harvested."""
    making = Standing.objects.filter(lot=known.lot).values("made_by")
    from_sender = Entry.objects.filter(operation__in=making, account="received").exists()
    return "received" if from_sender else "harvested"


def _run(reader: Reader, known: Known, number: str) -> RunRecord | None:
    runs = RunRecord.objects.filter(
        station=reader.desk.station, number=number.strip(), feed_lot=known.lot, operation__reversed_by__isnull=True
    )
    run = runs.select_for_update(of=("self",)).select_related("operation").first()  # a late addition takes it too
    if run is None:
        reader.add(NoSuchRun(number, known.lot.number))
    return run


def _unaccounted_of(run: RunRecord) -> int:
    """What a run left unaccounted, with late additions and adjustments [mg]."""
    acts = [run.operation_id, *run.operation.followed_by.filter(reversed_by__isnull=True).values_list("pk", flat=True)]
    return sum(Entry.objects.filter(operation__in=acts, account="unaccounted").values_list("mg", flat=True))
