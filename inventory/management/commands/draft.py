"""`manage.py draft`: fill a run spout by spout before it is booked.

`manage.py book book draft number=R14` books it, `park draft` books it and leaves it open.
"""

from argparse import ArgumentParser
from collections.abc import Mapping
from typing import Any

from django.core.management.base import CommandParser

from inventory.actions.drafting import Filling, RunStart, discard_draft, fill_run, start_run
from inventory.importing import words as typed
from inventory.management.door import DONE, Door, take_person, the_person, the_station
from inventory.models import RunDraft, Station
from inventory.queries.drafts import open_drafts
from inventory.rules.drafts import ALONE, NoDraftField
from inventory.rules.kinds import STREAMS
from inventory.rules.mistakes import Refused

WHAT = ("list", "start", "fill", "discard")


class Command(Door):
    """Starts, fills and throws away runs that are not booked yet; without a word it lists them."""

    help = "List runs that are being filled; start one, fill in some of it, or throw it away."

    def create_parser(self, prog_name: str, subcommand: str, **kwargs: Any) -> CommandParser:
        """Let options stand between the fields, as people type them."""
        parser = super().create_parser(prog_name, subcommand, **kwargs)
        parser.parse_args = parser.parse_intermixed_args  # type: ignore[method-assign]
        return parser

    def take(self, parser: ArgumentParser) -> None:
        """Take what to do, and the run's fields."""
        parser.add_argument("what", nargs="?", default="list", choices=WHAT)
        parser.add_argument(
            "words", nargs="*", metavar="field=value",
            help="start: feed_lot=24-0001 machines=air-screen feed=798; "
            "fill: number=R14 throughs=30.6 outs.1.mass=741.2 at=2024-10-08; discard: number=R14",
        )  # fmt: skip
        take_person(parser)

    def answer(self, options: dict[str, Any]) -> int:
        """Do it, and say how the run stands now."""
        station = the_station(options)
        if options["what"] != "list":
            done = _done(options, station)
            drafts = [done] if done else []
        else:
            drafts = list(open_drafts(station))
        if options["json"]:
            self.say_json([_json(draft) for draft in drafts])
        else:
            nothing = "No run is being filled." if options["what"] == "list" else "The draft is thrown away."
            self.say(*([_in_words(draft) for draft in drafts] or [nothing]))
        return DONE


def _done(options: Mapping[str, Any], station: Station) -> RunDraft | None:
    by, words = the_person(dict(options)), typed.pairs(options["words"])
    if options["what"] == "start":
        return start_run(typed.fill(RunStart, words), station=station, by=by)
    number = str(words.pop("number", ""))
    if options["what"] == "fill":
        return fill_run(number, _filling(words), station=station, by=by)
    discard_draft(number, station=station, by=by)
    return None


def _filling(words: dict[str, Any]) -> Filling:
    """Sort typed fields: spouts by their stream, lots that come out by their position, the rest as they are.

    Raises:
        Refused: a field that a run does not have, or a lot that comes out without its parts.
    """
    outs = words.pop("outs", {})
    if not isinstance(outs, dict) or not all(isinstance(out, dict) for out in outs.values()):
        raise Refused([typed.WrongShape("outs", "", "each lot's parts, such as outs.1.mass=741.2")])
    nested = [name for name, value in words.items() if not isinstance(value, str)]
    if nested:
        raise Refused([NoDraftField(name, (*STREAMS, *ALONE, "outs")) for name in nested])
    spouts = {name: value for name, value in words.items() if name in STREAMS}
    alone = {name: value for name, value in words.items() if name not in STREAMS}
    return Filling(spouts=spouts, outs=outs, words=alone)


def _json(draft: RunDraft) -> dict[str, Any]:
    return {
        "run": draft.number, "feed_lot": draft.feed_lot.number, "started_by": draft.started_by.get_username(),
        **draft.typed,
    }  # fmt: skip


def _in_words(draft: RunDraft) -> str:
    filled = {**draft.typed["words"], **draft.typed["spouts"]}
    # In our own order: a database may keep the fields of a JSON in another one than they were typed in.
    said = [f"{name} {filled[name]}" for name in (*ALONE, *STREAMS) if name in filled]
    outs = draft.typed["outs"]
    said += [f"lot {position} {outs[position].get('mass', '')}" for position in sorted(outs, key=int) if outs[position]]
    return f"{draft.number} of {draft.feed_lot.number}: {', '.join(said)}."
