"""Where the kilos of a run went: of a run that is being filled as far as it is known, of a booked run by the ledger."""

from dataclasses import dataclass

from inventory.models import RunDraft
from inventory.queries.drafts import kept_word
from inventory.queries.runs import RunBalance
from inventory.rules.kinds import STREAMS
from inventory.rules.mass import read_mass
from inventory.rules.mistakes import Mistake
from inventory.rules.runs import UnknownMachine, allowed_loss_ppm, percent_of, read_machines
from inventory.rules.spouts import spouts_of


@dataclass(frozen=True)
class Way:
    """One way out of a run.

    Attributes:
        field: where it is filled in: "spouts.throughs", "outs.1.mass".
        name: the spout, or "" for clean seed.
        lot: the lot that came out, "" where it has no number yet or is no lot.
        mg: [mg]; None where it was not weighed yet.
        who: who filled it in last, where that is kept.
    """

    field: str
    name: str
    lot: str = ""
    mg: int | None = None
    who: str = ""


@dataclass(frozen=True)
class RunFlow:
    """A run's feed and all its ways out, clean seed first, then spouts in the order of the line [mg]."""

    number: str
    machines: str
    feed_lot: str
    feed_mg: int | None
    outs: tuple[Way, ...]
    spouts: tuple[Way, ...]
    allowed_ppm: int

    @property
    def out_mg(self) -> int:
        """What was weighed of all ways out."""
        return sum(way.mg or 0 for way in (*self.outs, *self.spouts))

    @property
    def missing_mg(self) -> int | None:
        """Feed less all that was weighed; below nothing where more came out; None before the feed is known."""
        return None if self.feed_mg is None else self.feed_mg - self.out_mg

    @property
    def is_waiting(self) -> bool:
        """Something was not weighed yet: what is missing may still be there."""
        return any(way.mg is None for way in (*self.outs, *self.spouts))

    @property
    def is_over_allowed(self) -> bool:
        """All is weighed, and more is missing than the machines may lose."""
        missing = self.missing_mg or 0
        return not self.is_waiting and missing * 1_000_000 > self.allowed_ppm * (self.feed_mg or 0)

    @property
    def is_wrong(self) -> bool:
        """It does not add up: more is missing than may be, or more came out than went in."""
        return self.is_over_allowed or (self.missing_mg is not None and self.missing_mg < 0)

    def percent(self, mg: int | None) -> str:
        """A mass as percent of the feed with two decimals; "" where either is not known."""
        return percent_of(mg, self.feed_mg) if mg is not None and self.feed_mg else ""

    @property
    def allowed_pct(self) -> str:
        """What may be missing, percent of the feed: "1.0"."""
        return f"{self.allowed_ppm // 10_000}.{self.allowed_ppm % 10_000 // 1_000}"


def flow_of_draft(draft: RunDraft) -> RunFlow:
    """Tell a run that is being filled as far as it was filled in."""
    machines = _machines(str(draft.typed["words"].get("machines", "")))
    filled = draft.typed["spouts"]
    spouts = [stream for stream in STREAMS if stream in spouts_of(machines) or stream in filled]
    positions = sorted(draft.typed["outs"], key=int) or ["1"]
    return RunFlow(
        number=draft.number,
        machines=" + ".join(machines),
        feed_lot=draft.feed_lot.number,
        feed_mg=_mass(draft, "words.feed"),
        outs=tuple(_out(draft, position) for position in positions),
        spouts=tuple(_way(draft, f"spouts.{stream}", stream) for stream in spouts),
        allowed_ppm=allowed_loss_ppm(machines),
    )


def flow_of_run(balance: RunBalance) -> RunFlow:
    """Tell a booked run with all that was added to it later."""
    spouts = [stream for stream in STREAMS if stream in balance.streams]
    return RunFlow(
        number=balance.number,
        machines=balance.machines,
        feed_lot=balance.feed_lot,
        feed_mg=balance.feed_mg,
        outs=tuple(Way(f"outs.{place}.mass", "", lot, mg) for place, (lot, mg) in enumerate(balance.outs, start=1)),
        spouts=tuple(Way(f"spouts.{stream}", stream, mg=balance.streams[stream]) for stream in spouts),
        allowed_ppm=balance.allowed_ppm,
    )


def _machines(typed: str) -> tuple[str, ...]:
    try:
        return read_machines(typed)
    except UnknownMachine:
        return ()


def _out(draft: RunDraft, position: str) -> Way:
    return _way(draft, f"outs.{position}.mass", "", lot=kept_word(draft, f"outs.{position}.lot"))


def _way(draft: RunDraft, field: str, name: str, *, lot: str = "") -> Way:
    return Way(field, name, lot, _mass(draft, field), draft.typed.get("who", {}).get(field, ""))


def _mass(draft: RunDraft, field: str) -> int | None:
    typed = kept_word(draft, field)
    if not typed.strip():
        return None
    try:
        return read_mass(typed, unit="kg").mg
    except (
        Mistake
    ):  # what is kept was read when it was filled in; a rule that grew stricter since must not hide the run
        return None
