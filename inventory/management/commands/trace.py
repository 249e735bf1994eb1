"""`manage.py trace REF [--forward]`: where seed came from, or where it went."""

from argparse import ArgumentParser
from fractions import Fraction
from typing import Any

from inventory.management.door import DONE, Door, columns, the_station
from inventory.queries.tracing import Trace, TraceNode, trace
from inventory.rules.mass import kg_words
from inventory.rules.rounding import half_up

HEADINGS = ("share", "exactly", "what", "day", "held", "name")


class Command(Door):
    """Trace a thing and write its nodes with their shares, then its steps."""

    help = "Trace a lot, bag, plot, plant, line, cross, shipment, season or sender back, or forward to every shipment."

    def take(self, parser: ArgumentParser) -> None:
        """Take what to trace, and which way."""
        parser.add_argument(
            "ref", help="Lot, bag (24-0016-5/14), plot, plant, line, cross, shipment, season or sender."
        )
        parser.add_argument("--forward", action="store_true", help="To what came of it, not to what it came from.")

    def answer(self, options: dict[str, Any]) -> int:
        """Trace and write."""
        found = trace(the_station(options), options["ref"], forward=options["forward"])
        if options["json"]:
            self.say_json(found.as_json())
            return DONE
        self.say(*(note.says for note in found.notes))
        self.say(*columns([HEADINGS, *(_line(node) for node in found.nodes)], right=frozenset({0, 1, 4})))
        if found.edges:
            self.say("", "Step by step, with what was fed:", *_steps(found))
        if found.truncated:
            self.say("The trace was cut off here; shares are left out, since what lies beyond may add to them.")
        return DONE


def _line(node: TraceNode) -> tuple[str, ...]:
    day = node.day.isoformat() if node.day else ""
    mass = f"{kg_words(node.mg)} kg" if node.mg is not None else ""
    return (_percent(node.share), _fraction(node.share), node.kind, day, mass, node.label)


def _steps(found: Trace) -> list[str]:
    return [
        f"{edge.source} → {edge.target}"
        + (f" by {edge.operation}" if edge.operation else "")
        + (f", {kg_words(edge.mg)} kg" if edge.mg is not None else "")
        for edge in found.edges
    ]


def _percent(share: Fraction | None) -> str:
    return "–" if share is None else f"{half_up(share * 100, 2)} %"


def _fraction(share: Fraction | None) -> str:
    return "" if share is None else f"{share.numerator}/{share.denominator}"
