"""What a scale sends when its key is pressed: words for how it stood, then the mass: "ST,GS,+  12.42 lb".

ST and US say whether it stood still, OL that it is overloaded; GS is a gross weight, NT one that the scale's own tare
was taken off. Common practice of platform scales, no source.
"""

import re

from inventory.rules.mistakes import Mistake
from inventory.rules.reading import field_words, plain

_SENT = re.compile(r"(?:(?P<stood>ST|US|OL)\s*,\s*)?(?:(?P<what>GS|NT)\s*,\s*)?(?P<mass>.*)", re.IGNORECASE)


class StillMoving(Mistake):
    """The scale had not come to rest."""

    code = "scale_moving"

    def __init__(self, shown: str, *, field: str = "") -> None:
        super().__init__(
            f"The scale was still moving at {shown}. Wait until it stands, then press its key again.", field=field
        )


class Overloaded(Mistake):
    """More stands on the scale than it weighs."""

    code = "scale_overloaded"

    def __init__(self, *, field: str = "") -> None:
        super().__init__("The scale says that it is overloaded. Take some off and weigh in two parts.", field=field)


class TaredByScale(Mistake):
    """A net weight where a gross one belongs: the container would be taken off twice."""

    code = "scale_net"

    def __init__(self, shown: str, *, field: str = "") -> None:
        super().__init__(
            f"{field_words(field)} reads {shown} net: the scale took its own tare off already. Write it in Net and "
            "leave the container out, or clear the scale's tare and weigh again.",
            field=field,
        )


def read_sent(text: str, *, field: str = "") -> str:
    """Take the mass out of what a scale sent; other text is given back as it came.

    Args:
        field: where it was typed; a net weight is refused in "gross".

    Raises:
        StillMoving, Overloaded, TaredByScale: the scale itself says that this is no gross weight.
    """
    sent = _SENT.fullmatch(plain(text))
    if sent is None or not (sent["stood"] or sent["what"]):
        return text
    stood, what, mass = (sent["stood"] or "").upper(), (sent["what"] or "").upper(), sent["mass"].lstrip("+ ")
    if stood == "OL":
        raise Overloaded(field=field)
    if stood == "US":
        raise StillMoving(mass, field=field)
    if what == "NT" and field == "gross":
        raise TaredByScale(mass, field=field)
    return mass


def weighed_as(text: str) -> str:
    """Say what the scale itself says of its mass: "gross" or "net", "" where it says neither."""
    sent = _SENT.fullmatch(plain(text))
    return {"GS": "gross", "NT": "net"}.get((sent["what"] or "").upper(), "") if sent else ""
