"""A program of your own: read a list page by page, book an act that is safe to send twice, and keep in step.

HILUM_URL=http://127.0.0.1:8000 HILUM_KEY=hilum_… python docs/programs/keep_in_step.py 24-0016-5 A-05
"""

import sys

from hilum_client import Stopped, act, acts_after, ask, rows


def main(lot: str, place: str) -> None:
    """Say what is in store, move a lot, and tell what that changed."""
    print(f"{len(list(rows('stock', limit=20)))} rows of stock")
    before = ask("/api/v1/changes?limit=1")["last"]
    booked = act("move", {"lot": lot, "to": place})
    print(f"moved: act {booked['operations'][0]['number']}")
    for one in acts_after(before):
        print(f"{one['seq']} {one['kind']} by {one['by']}")


if __name__ == "__main__":
    try:
        main(*sys.argv[1:3])
    except Stopped as stopped:
        raise SystemExit(str(stopped)) from None
