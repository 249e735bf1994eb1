"""How dark the seed of a class is: a dark bean left in the line shows in a light lot, not the other way about."""

from inventory.rules.reading import unaccented

# From light to dark as the classes look in a pan; common knowledge of the trade, no published order.
_LIGHT_TO_DARK: tuple[tuple[str, ...], ...] = (
    ("navy", "pea", "white", "small white", "great northern", "cannellini", "white kidney", "alubia"),
    ("yellow", "yelloweye", "canario", "mayocoba", "peruano"),
    ("pinto", "cranberry", "carioca", "borlotti"),
    ("pink", "small red", "red", "light red kidney", "red mexican"),
    ("dark red kidney", "kidney"),
    ("black", "black turtle", "negro"),
)
_MIDDLE = 2.5  # a class we do not know stands between


def shade(market_class: str) -> float:
    """Say how dark a class is, 0 (white) to 5 (black); a class that is not known stands in the middle."""
    name = unaccented(market_class).strip().removesuffix(" bean").removesuffix(" beans")
    return next((float(index) for index, names in enumerate(_LIGHT_TO_DARK) if name in names), _MIDDLE)


def shows_in(left_over: str, lot: str) -> bool:
    """Say whether seed of one class left in the line shows in a lot of another: it is darker."""
    return shade(left_over) > shade(lot)
