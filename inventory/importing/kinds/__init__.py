"""The kinds of sheet that are the inventory's own, and how any kind is found."""

from inventory.importing.kinds import intake, plots, runs
from inventory.importing.kinds.kind import Kind
from inventory.importing.words import UnknownWord

OWN: tuple[Kind, ...] = (intake.KIND, runs.KIND, plots.KIND)


def kind_named(typed: str) -> Kind:
    """Find a kind of sheet, our own or a plugin's.

    Raises:
        UnknownWord: there is none, with the nearest.
    """
    kinds = {kind.name: kind for kind in OWN}
    kind = kinds.get(typed.strip().casefold())
    if kind is None:
        raise UnknownWord("kind of sheet", typed, list(kinds), field="kind")
    return kind
