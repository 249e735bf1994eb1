"""What is said about seed before it leaves: a promise warns and never blocks."""

from inventory.actions.desk import Known
from inventory.actions.reader import Reader
from inventory.queries.promises import open_promises
from inventory.rules.shipping import promise_notes


def note_promises(reader: Reader, known: Known, leaving_mg: int, *, recipient: str = "") -> None:
    """Note where what stays does not cover what was promised to others (1 query).

    Args:
        leaving_mg: what leaves the lot by this act [mg].
        recipient: who receives it; a promise to them is not in the way.
    """
    left = sum(reader.desk.stock(known.lot).values()) - leaving_mg
    promised = [
        (promise.recipient, promise.mg)
        for promise in open_promises([known.lot.pk]).get(known.lot.pk, [])
        if promise.recipient != recipient
    ]
    reader.notes.extend(promise_notes(known.lot.number, left, promised))
