"""A test that uses seed up: with its mass the seed leaves the lot; without one it is kept and says so."""

from collections.abc import Mapping, Sequence
from typing import Any, Protocol

from django.contrib.auth.models import User
from django.db.models import Model

from grading.actions.sampling import NothingDrawn
from inventory.actions.desk import Typed
from inventory.actions.drafts import Draft
from inventory.actions.reader import Reader
from inventory.actions.sampling import Drawing, plan_draw


class Tested(Protocol):
    """The typed words that every test of seed has."""

    @property
    def lot(self) -> Typed:
        """Whose seed."""

    @property
    def mass(self) -> Typed:
        """What it took; empty where nothing was taken."""

    @property
    def place(self) -> Typed:
        """Where it stood."""

    @property
    def bags(self) -> Typed:
        """Out of which bags."""

    @property
    def unit(self) -> str:
        """Of the mass."""

    @property
    def at(self) -> Typed:
        """When."""


def plan_use(
    reader: Reader, tested: Tested, purpose: str, *, by: User, rows: Sequence[Any], facts: Mapping[str, Any],
    key: str = "", reason: str = "",
) -> Draft:  # fmt: skip
    """Plan a test's act on the reader's desk; its first row learns what was drawn.

    Args:
        purpose: germination, health, purity …
        rows: what is recorded with it, the test itself first; none where it could not be read.

    Raises:
        Refused: all that was gathered by the reader before and here.
    """
    kept = {**facts, "purpose": purpose}
    if tested.mass in (None, ""):
        at = reader.when(tested.at)
        reader.lot(tested.lot)
        reader.notes.append(NothingDrawn("test"))
        return _without_seed(reader, at, kept, by=by, rows=rows, key=key, reason=reason)
    drawing = Drawing(
        lot=tested.lot, mass=tested.mass, place=tested.place, bags=tested.bags, unit=tested.unit, at=tested.at,
        purpose=purpose,
    )  # fmt: skip
    draft = plan_draw(reader, drawing, by=by, key=key, reason=reason, kind="test", rows=rows, facts=kept)
    rows[0].drawn_mg = -sum(entry.mg for entry in draft.entries if entry.mg < 0)
    return draft


def _without_seed(
    reader: Reader, at: Any, facts: Mapping[str, Any], *, by: User, rows: Sequence[Model], key: str, reason: str
) -> Draft:  # fmt: skip
    kept = {**reader.finish(), **facts}
    return Draft(
        kind="test", station=reader.desk.station, by=by, at=at, reason=reason, key=key, facts=kept, rows=list(rows)
    )
