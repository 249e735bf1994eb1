"""Which spouts a machine has: what a run's page asks to be weighed."""

from collections.abc import Sequence

from inventory.rules.kinds import STREAMS

# How these machines part seed is common knowledge of the trade; which spouts a plant weighs is its own matter, so that
# the others may be filled in too. No published source.
_OF_MACHINE: dict[str, tuple[str, ...]] = {
    "pre-cleaner": ("scalpings", "liftings"),
    "air-screen": ("scalpings", "throughs", "liftings"),
    "gravity": ("lights", "middlings", "stones"),
    "sizing": ("throughs",),
    "hand-pick": ("picked",),
    "destoner": ("stones",),
    "colour sorter": ("picked",),
}


def spouts_of(machines: Sequence[str]) -> tuple[str, ...]:
    """Name the spouts of these machines, in the order of the line; all of them where no machine is known."""
    theirs = {stream for machine in machines for stream in _OF_MACHINE.get(machine, ())}
    return tuple(stream for stream in STREAMS if stream in theirs) or STREAMS
