"""A buyer's system: read the history of a lot as EPCIS 2.0 and see that its masses add up.

python docs/programs/bought_lot.py 25-0017-6
"""

import sys
from collections import defaultdict
from decimal import Decimal
from typing import Any

from hilum_client import Stopped, ask


def main(lot: str) -> None:
    """Say how many acts there are, which do not balance, and what is left of every lot that is told whole."""
    told = ask(f"/api/v1/lots/{lot}/epcis")
    events = standing(told["epcisBody"]["eventList"])
    left: dict[str, Decimal] = defaultdict(Decimal)
    for event in events:
        masses = event.get("hilum:masses", [])
        if sum(Decimal(one["kg"]) for one in masses):
            print(f"{event['eventID']} does not add up")
        for one in masses:
            left[one.get("lot", "")] += Decimal(one["kg"])
    print(f"{len(events)} acts")
    for whole in told["hilum:about"]["lots"]:  # others are told in part: only what went to or came from these
        print(f"{whole} {left[whole]} kg left")


def standing(events: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Leave out what was taken back: an event comes again under its own id, with an errorDeclaration."""
    taken_back = {event["eventID"] for event in events if "errorDeclaration" in event}
    return [event for event in events if event["eventID"] not in taken_back]


if __name__ == "__main__":
    try:
        main(*sys.argv[1:2])
    except Stopped as stopped:
        raise SystemExit(str(stopped)) from None
