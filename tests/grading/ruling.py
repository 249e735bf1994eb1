"""Rule sets as a station writes its own: the demo's limits with some of them changed."""

import json
from importlib.resources import files
from typing import Any

from inventory.actions.acting import Booked
from inventory.importing.acts import book
from tests.grading.station import NOW, Bench

DEMO = (files("grading") / "rule_sets" / "QM-DEMO.json").read_text("utf-8")


def edition(name: str = "2", total: str = "2.00", **changes: Any) -> dict[str, Any]:
    """Another edition of QM-DEMO, whose No. 1 allows another total."""
    document: dict[str, Any] = {**json.loads(DEMO), "edition": name}
    document["tables"][0]["grades"][0]["limits"]["total_defects"] = total
    document.update(changes)
    return document


def draft(bench: Bench, document: dict[str, Any], by: str = "bench") -> Booked:
    """Draft it."""
    words = {"document": document}
    return book("draft rules", words, station=bench.plant.station, by=bench.plant.people[by], now=NOW)


def put(bench: Bench, name: str = "2", begins: str = "2025-01-01", **asked: Any) -> Booked:
    """Put a draft of QM-DEMO in force."""
    words = {"rule_set": "QM-DEMO", "edition": name, "begins": begins}
    asked = {"reason": "decided in spring", "answers": {"begins_back": "as decided"}, **asked}
    return book("put rules in force", words, station=bench.plant.station, by=bench.plant.records, now=NOW, **asked)


def withdraw(bench: Bench, name: str, ends: str) -> Booked:
    """Withdraw an edition of QM-DEMO."""
    words = {"rule_set": "QM-DEMO", "edition": name, "ends": ends}
    asked: dict[str, Any] = {"reason": "it was wrong", "answers": {}}
    return book("withdraw rules", words, station=bench.plant.station, by=bench.plant.records, now=NOW, **asked)
