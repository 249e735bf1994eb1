"""Cards for the wall beside the scale and the bench: scanned, they do what a key of the keyboard does."""

from django.utils.translation import gettext

from inventory.papers.labels import WallCard
from inventory.rules.label_codes import Card, LabelKind, label_code


def card_words(card: Card) -> tuple[str, str]:
    """Name a card, and say what it does."""
    return {
        Card.SAVE: (gettext("SAVE"), gettext("Scan it when the page is filled in. Same as F2.")),
        Card.TAKE_BACK: (gettext("TAKE BACK"), gettext("Scan it on the page of what was booked. Same as F8.")),
        Card.PRINT_AGAIN: (gettext("PRINT AGAIN"), gettext("Scan it on the page of the thing. Same as F4.")),
        Card.HOLD: (gettext("HOLD"), gettext("Scan it, then the lot: nothing of it leaves until it is lifted.")),
    }[card]


def wall_cards() -> list[WallCard]:
    """Make the cards for the wall."""
    return [
        WallCard(words, label_code(LabelKind.CARD, card), says) for card in Card for words, says in [card_words(card)]
    ]
