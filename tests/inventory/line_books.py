"""Runs over the line from lines of text, so that a story of the plant reads as one."""

from collections.abc import Mapping

from inventory.actions.running import Out, Run, book_run
from inventory.models import Lot
from tests.make import NOW, House, received


def ran(house: House, text: str, *, answers: Mapping[str, str] | None = None, **more: object) -> list[Lot]:
    """Book runs, each from a fresh lot unless `feed_lot` is given.

    A line reads: number | date | machines | feed | out, out … | stream mass, stream mass …
    """
    made: list[Lot] = []
    for line in filter(None, map(str.strip, text.splitlines())):
        number, date, machines, feed, outs, off = (part.strip() for part in line.split("|"))
        plot = "ST24-B-1-1" if "black" in machines else "ST24-N-1-1"
        words = {
            "feed_lot": more.get("feed_lot") or received(house, feed, plot=plot, at="2024-09-20").number,
            "outs": tuple(Out(mass=mass) for mass in outs.split(", ")),
            "taken_off": dict(part.rsplit(" ", 1) for part in off.split(", ") if part),
            "machines": machines.replace("(black)", ""),
            "is_cleaned_out": "not cleaned out" not in machines,
            **more,
        }
        words["machines"] = str(words["machines"]).replace("(not cleaned out)", "").strip()
        run = Run(number=number, feed=feed, at=date, **words)  # type: ignore[arg-type]
        made += book_run(run, station=house.station, by=house.line, answers=answers, now=NOW).lots
    return made
