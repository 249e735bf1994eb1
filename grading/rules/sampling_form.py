"""Reads how a portion was sampled from named values, such as a part of a parsed JSON object."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from grading.rules.mistakes import Missing, NotAnObject, OutOfRange, UnknownWord, shown
from grading.rules.portion_form import amount
from grading.rules.sampling import SCHEMES, Sampling, sampling
from inventory.rules.mistakes import Mistake, Refused

KNOWN = ("scheme", "size", "probed", "lot_kg", "drawn_g")
WHERE = "sampling"
_MOST = Decimal(100_000_000)


def read_sampling(value: object, worked_g: Decimal, wrong: list[Mistake]) -> Sampling | None:
    """Read what a scheme asks and what was probed.

    Args:
        value: an object with names of `KNOWN`, or None.
        worked_g: weight of the portion [g].
        wrong: gathers what cannot be read.
    """
    if value is None:
        return None
    if not isinstance(value, Mapping):
        wrong.append(NotAnObject(WHERE, value, WHERE))
        return None
    before = len(wrong)
    wrong += [UnknownWord("value of sampling", name, KNOWN, f"{WHERE}.{name}") for name in value if name not in KNOWN]
    size, probed = (_whole(value, name, wrong) for name in ("size", "probed"))
    lot_kg, drawn_g = (_number(value, name, wrong) for name in ("lot_kg", "drawn_g"))
    scheme = value.get("scheme")
    if not isinstance(scheme, str):
        says = f"{WHERE}.scheme is {shown(scheme)}. Give one of {', '.join(SCHEMES)}."
        wrong.append(OutOfRange(says, field=f"{WHERE}.scheme"))
    if len(wrong) > before or not isinstance(scheme, str) or size is None or probed is None:
        return None
    try:
        return sampling(scheme, size, probed, lot_kg=lot_kg, drawn_g=drawn_g, worked_g=worked_g)
    except Refused as refused:
        wrong += refused.mistakes
        return None


def _number(value: Mapping[str, Any], name: str, wrong: list[Mistake]) -> Decimal | None:
    if value.get(name) is None:
        return None
    try:
        return amount(value[name], f"{WHERE}.{name}", name.rpartition("_")[2] or "pieces", _MOST)
    except Mistake as mistake:
        wrong.append(mistake)
        return None


def _whole(value: Mapping[str, Any], name: str, wrong: list[Mistake]) -> int | None:
    if value.get(name) is None:
        hint = "how many were probed" if name == "probed" else "how many bags, containers or kg the lot has"
        wrong.append(Missing(f"{WHERE}.{name}", f"Say {hint}."))
        return None
    read = _number(value, name, wrong)
    if read is not None and read != int(read):
        says = f"{WHERE}.{name} is {read}. It is counted: give a whole number."
        wrong.append(OutOfRange(says, field=f"{WHERE}.{name}"))
        return None
    return None if read is None else int(read)
