"""An act's entries told as movements from lot to lot: each with one giver and one taker, to the milligram."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

OUTSIDE = 0  # stands for what is no lot; keys of lots begin at 1


@dataclass(frozen=True)
class Movement:
    """Seed that went from a lot, or from outside, to a lot, or outside.

    Attributes:
        giver, taker: keys of lots; OUTSIDE where it is none.
        account: the account outside the store that gave or took it.
        mg: always more than nothing.
    """

    giver: int
    taker: int
    account: str
    mg: int


Slot = tuple[int, str]  # lot and "", or OUTSIDE and the account


def movements_of(entries: Iterable[tuple[int | None, int | None, str, int]]) -> list[Movement]:
    """Pair what an act took with what it gave.

    Where several gave to several, each taker has of each giver by their masses, to the milligram; seed that only
    changed its place within a lot went from the lot to itself.

    Args:
        entries: of one act: lot, place, account, signed mass [mg]; they sum to zero.
    """
    net: dict[Slot, int] = defaultdict(int)
    at: dict[tuple[int, int | None], int] = defaultdict(int)
    for lot, place, account, mg in entries:
        net[(lot or OUTSIDE, account)] += mg
        if lot:
            at[(lot, place)] += mg
    givers = {slot: -mg for slot, mg in net.items() if mg < 0}
    takers = {slot: mg for slot, mg in net.items() if mg > 0}
    moved = [
        Movement(giver[0], taker[0], giver[1] or taker[1], mg)
        for taker, parts in _shared(givers, takers)
        for giver, mg in parts.items()
        if mg and (giver[0] or taker[0])
    ]
    return moved + _within(net, at)


def _within(net: Mapping[Slot, int], at: Mapping[tuple[int, int | None], int]) -> list[Movement]:
    """Tell what went from place to place of a lot that gave and took nothing else."""
    found: dict[int, int] = defaultdict(int)
    for (lot, _place), mg in at.items():
        if mg > 0 and not net.get((lot, ""), 0):
            found[lot] += mg
    return [Movement(lot, lot, "", mg) for lot, mg in found.items()]


def _shared(givers: Mapping[Slot, int], takers: Mapping[Slot, int]) -> list[tuple[Slot, dict[Slot, int]]]:
    """Share givers out among takers, each of what the takers before it left, so that nobody gives what it has not."""
    left, shared = dict(givers), []
    for taker in sorted(takers, key=lambda slot: takers[slot]):
        parts = _parts(left, takers[taker])
        left = {giver: mg - parts[giver] for giver, mg in left.items()}
        shared.append((taker, parts))
    return shared


def _parts(givers: Mapping[Slot, int], wanted: int) -> dict[Slot, int]:
    """Part a mass by what each has, to the milligram; what rounding leaves goes where most was rounded away."""
    total = sum(givers.values())
    parts = {giver: mg * wanted // total for giver, mg in givers.items()}
    missing = wanted - sum(parts.values())
    for giver in sorted(givers, key=lambda one: -(givers[one] * wanted % total))[:missing]:
        parts[giver] += 1
    return parts
