"""What papers and labels must say of treated seed: never food or feed, with the sentences of the products' labels."""

from collections.abc import Collection

from django.utils.translation import gettext

from inventory.models import Link, Treatment
from inventory.rules.nodes import NodeKind, key_of, kind_of, node


def warning_words() -> str:
    """The sentence that stands on everything that goes with treated seed."""
    return gettext("TREATED, not for food or feed")


def treatments_on(lot_ids: Collection[int]) -> list[Treatment]:
    """List the treatments on lots and on the lots their seed came from (1 query a generation).

    Returns:
        Those that stand, the oldest first.
    """
    met, ring = set(lot_ids), set(lot_ids)
    while ring:
        nodes = [node(NodeKind.LOT, key) for key in ring]
        parents = Link.objects.filter(child__in=nodes, is_sowing=False).values_list("parent", flat=True)
        ring = {key_of(number) for number in parents if kind_of(number) is NodeKind.LOT} - met
        met |= ring
    rows = Treatment.objects.filter(lot__in=met, operation__reversed_by__isnull=True)
    return list(rows.select_related("operation", "lot").order_by("operation__seq"))


def caution_words(treatments: Collection[Treatment]) -> str:
    """Join the cautions of some treatments, each product's once: "Seed coat A (3 mL per kg): Wear gloves."."""
    said = (f"{one.product} ({one.dose}): {one.caution}".rstrip(": ") for one in treatments)
    return " ".join(dict.fromkeys(said))
