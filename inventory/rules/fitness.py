"""What a lot will do for: sowing, shipping, canning; a "no" from anybody stands, and each names its reason."""

from collections.abc import Iterable
from decimal import Decimal

from hilum.plugins import Use
from inventory.rules.moisture import storage_advice

USES = ("sowing", "ship", "can")


def uses_by_the_books(
    *, left: int, holds: Iterable[str], is_treated: bool, moisture: Decimal | None
) -> list[Use]:  # fmt: skip
    """Say what the ledger alone knows of a lot's uses.

    Args:
        left: what is left of it [mg].
        holds: reasons of the holds that stand on it.
        moisture: read last [% wet basis]; None where it never was.
    """
    found = [Use(use, "no", f"on hold: {why}") for why in holds for use in ("sowing", "ship")]
    if is_treated:
        found.append(Use("can", "no", "it is treated"))
    if moisture is not None and storage_advice(moisture):
        found.append(Use("ship", "no", f"{moisture} % moisture: dry or cool it first"))
    if not left:
        found += [Use("sowing", "no", "nothing is left"), Use("ship", "no", "nothing is left")]
    return found


def together(said: Iterable[Use]) -> list[Use]:
    """Give one answer for each use: no beats no result, no result beats yes; nobody's word is no result.

    Shipping needs nobody's yes: what nothing forbids may leave.
    """
    said = list(said)
    return [_one(name, [use for use in said if use.use == name]) for name in USES]


def _one(name: str, said: list[Use]) -> Use:
    for answer in ("no", "no result", "yes"):
        found = [use for use in said if use.answer == answer]
        if found:
            why = "; ".join(dict.fromkeys(use.why for use in found if use.why))
            return Use(found[0].use, found[0].answer, why)
    return Use("ship", "yes") if name == "ship" else Use("sowing" if name == "sowing" else "can", "no result")
