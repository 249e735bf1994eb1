"""Treat a lot: a product is put on the seed, and it and all made from it are no longer food or feed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.models import User

from inventory.actions.acting import Booked, action
from inventory.actions.desk import Desk, Typed
from inventory.actions.drafts import Draft, outside, seed
from inventory.actions.posting import post_all
from inventory.actions.reader import Reader
from inventory.actions.taking import Taken, take
from inventory.models import Station, Treatment
from inventory.rules.mistakes import Mistake


@dataclass(frozen=True, kw_only=True)
class Treating:
    """A treatment as it was typed; `added` is the product that stays on the seed, `caution` its label's sentence."""

    lot: Typed
    product: str
    dose: str
    caution: str
    added: Typed = None
    unit: str = "kg"
    at: Typed = None


class TreatWholeLot(Mistake):
    """Only some of a lot could be reached by a treatment that marks it all."""

    code = "treat_whole_lot"

    def __init__(self, lot: str) -> None:
        super().__init__(
            f"{lot} stands in bags or at several places, and a treatment marks the whole lot. "
            "Split off what is treated, or bring it together first.",
            field="lot",
        )


@action("treat")
def treat(
    treating: Treating, *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Treat one lot: `treat_all` with one."""
    return treat_all([treating], station=station, by=by, key=key, reason=reason, answers=answers, now=now)


@action("treat")
def treat_all(
    treatings: Sequence[Treating], *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,
) -> Booked:  # fmt: skip
    """Treat lots; all or none. Treated is never lifted: only reversing the act itself takes it back.

    Raises:
        Refused: product, dose or caution is missing, or the lot is not loose at one place.
    """
    desk = Desk(station, now)
    drafts = [plan_treating(Reader(desk, answers), treating, by=by, key=key, reason=reason) for treating in treatings]
    return Booked(tuple(post_all(drafts)))


def plan_treating(reader: Reader, treating: Treating, *, by: User, key: str = "", reason: str = "") -> Draft:
    """Plan a treatment on the reader's desk.

    Raises:
        Refused: all that stands in the way of this treatment.
    """
    at = reader.when(treating.at)
    reader.note_typed(**vars(treating))
    product = reader.text(treating.product, "product", "the name on its label", 120)
    dose = reader.text(treating.dose, "dose", "3.3 mL per kg", 120)
    caution = reader.text(treating.caution, "caution", "the sentence on the product's label", 400)
    added = reader.mass(treating.added, "added", treating.unit, needed=False)
    whole = _whole(reader, treating)
    facts = reader.finish()
    if whole is None:
        raise AssertionError("finish() lets nothing unread through")
    lot, on_it = whole.known.lot, added.mg if added else 0
    (place, _loose), *_ = whole.slots
    treatment = Treatment(station=reader.desk.station, lot=lot, product=product, dose=dose, caution=caution)
    draft = Draft(
        kind="treat", station=reader.desk.station, by=by, at=at, reason=reason, key=key, facts=facts,
        entries=[outside("treatment", -on_it), seed(lot.pk, place, on_it)] if on_it else [], rows=[treatment],
    )  # fmt: skip
    return reader.desk.plan(draft)


def _whole(reader: Reader, treating: Treating) -> Taken | None:
    known = reader.lot(treating.lot)
    if known is None:
        return None
    if sum(1 for mg in reader.desk.stock(known.lot).values() if mg) > 1:
        reader.add(TreatWholeLot(known.lot.number))
        return None
    return take(reader, known, None)
