"""A bench for pages: station QM with a pinto lot, and people of each role."""

import re
from typing import Any

from grading.models import Sample
from inventory.importing.acts import book
from tests.grading.station import NOW, Bench, station

LOT = "24-0016-5"


def a_bench() -> Bench:
    """Station QM with a lot of 600 kg of pinto."""
    made = station()
    made.lots(LOT, plot="QM24-P-1-1")
    return made


def drawn(bench: Bench, number: str = "G01", **words: Any) -> Sample:
    """A sample that waits for its pan."""
    usual = {"number": number, "lot": LOT, "mass": "2", "points": "8", "at": "2024-10-10"}
    book("bench sample", {**usual, **words}, station=bench.plant.station, by=bench.plant.intake, now=NOW)
    return Sample.objects.get(number=number)


def a_pan(**words: str) -> dict[str, str]:
    """A pan as a page posts it: it closes, and reads No. 1."""
    usual = {
        "key": "k1", "portion_g": "500.30", "weights_g.splits": "2.40", "weights_g.damaged": "3.10",
        "weights_g.other_foreign_material": "0.10", "weights_g.stones": "", "sound_g": "494.65",
        "seed_weight_g_per_100": "36.0", "save": "yes",
    }  # fmt: skip
    return {**usual, **words}


def text(answer: Any) -> str:
    """The words of a page, without its marks."""
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode()))
