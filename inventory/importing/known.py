"""The codes that stand in a station's books, indexed once for a whole sheet."""

from dataclasses import dataclass

from inventory.models import LineName, Place, Plot, Station
from inventory.rules.codes import Vocabulary


@dataclass(frozen=True)
class Known:
    """Codes that cells may name.

    Args:
        lines: every name a line ever had.
        plots: plots and blocks.
        places: where seed stands.
    """

    lines: Vocabulary
    plots: Vocabulary
    places: Vocabulary


def known_codes(station: Station) -> Known:
    """Look up what a station's sheets may name (3 queries)."""
    plots = Plot.objects.filter(station=station, taken_back=False)
    return Known(
        Vocabulary(list(LineName.objects.filter(station=station).values_list("name", flat=True)), kind="line"),
        Vocabulary(list(plots.values_list("code", flat=True)), kind="plot"),
        Vocabulary(list(Place.objects.filter(station=station).values_list("code", flat=True)), kind="place"),
    )
