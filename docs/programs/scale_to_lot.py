"""A balance on the intake floor: keep what it shows, then receive a lot with the figure that was read in it.

    python docs/programs/scale_to_lot.py intake-1 "ST,GS,+ 842.0 kg" 42 QM25-I2 F-1

The device is entered once, with a key of records: ask("/api/v1/devices", {"code": "intake-1", "driver": "scale"}).
"""

import sys
import uuid
from datetime import UTC, datetime

from hilum_client import Stopped, act, ask


def weighed(device: str, raw: str) -> str:
    """Keep the balance's text letter by letter and give the gross kilograms that were read in it, exact."""
    now = datetime.now(UTC).isoformat()
    sent = {"device_id": device, "reading_id": str(uuid.uuid4()), "taken_at": now, "kind": "gross", "raw": raw}
    reading = ask("/api/v1/readings", sent)
    if not reading["values"]:  # why: the scale moved, or nobody entered the device
        raise SystemExit(reading.get("note") or reading["unread"])
    value = reading["values"][0]
    if value.get("weighed_as") == "net":  # with the tare below it would be taken off twice
        raise SystemExit(f"{device} took its own tare off. Clear it and weigh again.")
    return str(value["kg"])


def main(device: str, raw: str, tare: str, plot: str, place: str) -> None:
    """Weigh, receive, and ask the person about whatever is doubtful."""
    words = {"plots": [plot], "gross": f"{weighed(device, raw)} kg", "tare": f"{tare} kg", "place": place}
    once = str(uuid.uuid4())
    try:
        booked = act("receive", words, once=once)
    except Stopped as stopped:
        if not stopped.asks:
            raise
        why = {code: input(f"{says} Why is it right? ") for code, says in stopped.asks.items()}
        booked = act("receive", words, answers=why, once=once)
    print(*(f"{lot['lot']} {lot['kg']} kg at {lot['place']}" for lot in booked["lots"]), *booked["notes"], sep="\n")


if __name__ == "__main__":
    try:
        main(*sys.argv[1:6])
    except Stopped as stopped:
        raise SystemExit(str(stopped)) from None
