"""A data manager's sheet: send it, see what is found in it, answer, and save it all or not at all.

    python docs/programs/sheet_in.py intake.csv intake            what is found
    python docs/programs/sheet_in.py intake.csv intake ANSWERS    answers and saves; takes it back with `ask` as below

ANSWERS is a file such as [{"row": 4, "answer": "leave_out"}, {"row": 5, "column": "place", "answer": "F-1"}]: accept
takes a proposal, keep lets a question stand with its `reason`, leave_out passes the row over, anything else is the
value instead. A sheet of more than 1,000 rows is read by a job, as api/README.md says. To take a load back:
ask("/api/v1/loads/L13/unload", {"reason": "…"}, Idempotency_Key="…").
"""

import json
import sys
import urllib.parse
import uuid
from pathlib import Path

from hilum_client import Stopped, ask


def main(file: str, kind: str, answers: str = "") -> None:
    """Send the bytes of a file; sent again they are the same sheet, with the answers that it has."""
    path = Path(file)
    asked = urllib.parse.urlencode({"file_name": path.name, "kind": kind})
    sheet = ask(f"/api/v1/sheets?{asked}", path.read_bytes(), Content_Type="application/octet-stream")
    here = f"/api/v1/sheets/{sheet['id']}"
    if answers:
        ask(f"{here}/answers", {"answers": json.loads(Path(answers).read_text())}, method="PUT", If_Match="*")
    still = [one for one in ask(f"{here}/findings")["findings"] if one["level"] != "note"]
    for one in still:
        print(f"row {one['row']}, {one['column']}: {one['says']} Proposed: {one['proposal']}")
    if answers and not still:
        load = ask(f"{here}/save", {}, Idempotency_Key=str(uuid.uuid4()))
        print(f"saved as {load['load']}: {load['rows']} rows")


if __name__ == "__main__":
    try:
        main(*sys.argv[1:4])
    except Stopped as stopped:
        raise SystemExit(str(stopped)) from None
