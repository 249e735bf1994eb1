"""The button that prints labels, on whichever page: `{% print_button lots="24-0016-5" %}`."""

from collections.abc import Mapping, Sequence
from typing import Any

from django import template
from django.utils.translation import gettext

from inventory.models import Stock

register = template.Library()


@register.inclusion_tag("inventory/_print_button.html", takes_context=True)
def print_button(  # noqa: PLR0917 - templates name them
    context: Mapping[str, Any], lots: str = "", bags: str = "", containers: str = "", places: str = "",
    words: str = "", key: str = "F4",
) -> dict[str, Any]:  # fmt: skip
    """Offer labels of these lots, bags, containers or places; each press is a print of its own.

    Args:
        bags: numbers of bags of the one lot, "1-6" or "all".
        key: of the keyboard, written on the button; "" for none.
    """
    asked = {"lots": lots, "bags": bags, "containers": containers, "places": places}
    return {
        "asked": {name: value for name, value in asked.items() if value},
        "words": words or gettext("Print label"),
        "key": key,
        "csrf_token": context.get("csrf_token"),
    }


@register.filter
def lot_numbers(lots: Sequence[Mapping[str, Any]]) -> str:
    """Join the numbers of the lots that an act made."""
    return ", ".join(str(lot["lot"]) for lot in lots)


@register.filter
def lot_of_bags(bags: Sequence[Mapping[str, Any]]) -> str:
    """Name the lot of the bags that an act filled; nothing where they are of several."""
    lots = {str(bag["bag"]).partition("/")[0] for bag in bags}
    return lots.pop() if len(lots) == 1 else ""


@register.filter
def bag_numbers(bags: Sequence[Mapping[str, Any]]) -> str:
    """Join the numbers of the bags that an act filled."""
    return ", ".join(str(bag["bag"]).partition("/")[2] for bag in bags)


@register.filter
def has_bags(stock: Sequence[Stock]) -> bool:
    """Say whether some of a lot's seed is in bags."""
    return any(row.bag_no for row in stock)
