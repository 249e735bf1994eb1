"""Acts in the order of the books as events, where later acts take earlier ones back or say that they were otherwise.

Nothing that was told is rewritten: the event that no longer holds is told again under its own name with an error
declaration, and the one that holds instead has a name of its own (EPCIS 2.0, GS1, 2022, clause 7.4.1.4).
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from itertools import pairwise
from typing import Any

from inventory.rules.epcis import Act, Mass, event_of, instant_text

Event = dict[str, Any]
DID_NOT_OCCUR, INCORRECT = "did_not_occur", "incorrect_data"


def tell(acts: Iterable[Act]) -> list[Event]:
    """Tell acts as events.

    Args:
        acts: in the order in which they were written down.
    """
    ordered = list(acts)
    telling = _Telling(_made_again(ordered))
    for act in ordered:
        telling.take(act)
    return telling.events


def standing(events: Iterable[Mapping[str, Any]]) -> list[Mapping[str, Any]]:
    """Those of a document's events that no error declaration takes back."""
    told = list(events)
    wrong = {event["eventID"] for event in told if "errorDeclaration" in event}
    return [event for event in told if event["eventID"] not in wrong]


@dataclass
class _Telling:
    """What was told so far: each act as it stands now, what corrects it, and which act made each lot."""

    made_again: Mapping[int, str]
    events: list[Event] = field(default_factory=list)
    now: dict[int, Act] = field(default_factory=dict)
    first: dict[int, Act] = field(default_factory=dict)
    corrections: dict[int, list[Act]] = field(default_factory=dict)
    maker: dict[str, int] = field(default_factory=dict)

    def take(self, act: Act) -> None:
        """Tell the next act."""
        if act.reverses is not None:
            self._take_back(act, act.reverses)
        elif act.corrects and (root := self._root(act)) is not None:
            self.corrections[root].append(act)
            self._tell_anew(root, act)
        else:
            self.now[act.key] = self.first[act.key] = act
            self.corrections[act.key] = []
            self.maker.update(dict.fromkeys(act.makes, act.key))
            self.events.append(event_of(act))

    def _root(self, act: Act) -> int | None:
        """The act that a correction speaks of: the one it points at, else the one that made its lot."""
        if act.about in self.now:
            return act.about
        makers = (self.maker.get(lot) for lot in (*act.makes, *(mass.lot for mass in act.masses if mass.lot)))
        return next((root for root in makers if root in self.now), None)

    def _take_back(self, reversal: Act, key: int) -> None:
        root = next((root for root, each in self.corrections.items() if key in {one.key for one in each}), None)
        if root is not None:
            self.corrections[root] = [one for one in self.corrections[root] if one.key != key]
            self._tell_anew(root, reversal)
        elif key in self.now:
            instead = self.made_again.get(key)
            reason = INCORRECT if instead else DID_NOT_OCCUR
            self._declare(self.now.pop(key), reversal.recorded_at, reason, [instead] if instead else [])

    def _tell_anew(self, root: int, why: Act) -> None:
        """Declare what was told of an act wrong, and tell it as it stands now."""
        self._declare(self.now[root], why.recorded_at, INCORRECT, [why.event_id])
        self.now[root] = _corrected(self.first[root], self.corrections[root], why)
        self.events.append(event_of(self.now[root]))

    def _declare(self, act: Act, at: datetime, reason: str, instead: Sequence[str]) -> None:
        error = {"declarationTime": instant_text(at), "reason": reason}
        self.events.append(
            {**event_of(act), "errorDeclaration": {**error, **({"correctiveEventIDs": instead} if instead else {})}}
        )


def _corrected(act: Act, corrections: Sequence[Act], why: Act) -> Act:
    """The act as its corrections leave it, under the name of the newest act that says so."""
    masses = [*act.masses, *(_of_no_bag(mass) for each in corrections for mass in each.masses)]
    said = replace(act, uid=why.uid, recorded_at=why.recorded_at, masses=_netted(masses))
    for each in corrections:
        said = replace(said, sources=each.sources or said.sources, ilmd=each.ilmd or said.ilmd)
    return said


def _of_no_bag(mass: Mass) -> Mass:
    """What is put right in a bag is put right of its lot: the act that is corrected filled no bag."""
    return replace(mass, is_whole=False)


def _netted(masses: Sequence[Mass]) -> tuple[Mass, ...]:
    sums: dict[Mass, int] = {}
    for mass in masses:
        key = replace(mass, mg=0)
        sums[key] = sums.get(key, 0) + mass.mg
    return tuple(replace(key, mg=mg) for key, mg in sums.items() if mg)


def _made_again(acts: Sequence[Act]) -> dict[int, str]:
    """Acts that were taken back and whose lots another act made later: that one is told instead."""
    makers: dict[str, list[Act]] = {}
    for act in (act for act in acts if not act.corrects and act.reverses is None):
        for lot in act.makes:
            makers.setdefault(lot, []).append(act)
    return {one.key: later.event_id for each in makers.values() for one, later in pairwise(each)}
