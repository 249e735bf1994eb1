"""The acts that every general door offers, each on one line: verb -> its typed words and the action that does it.

To offer a new act, add one line to `ACTS`: the verb as people say it, the frozen dataclass of its typed words, and
the action, which is called as `do(words, station=, by=, key=, reason=, answers=, now=)`; `one(…)` makes it of an action
that takes a list. The command `book` then takes
its fields as `field=value` or as one JSON object, names the nearest field when one is mistyped, lists the act in its
help, and hands back questions and refusals; the table of refusals in `tests/refusals.py` takes its cases.

Other apps offer theirs through the hook `acts`; a verb of our own stands before theirs.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from typing import Any

from django.contrib.auth.models import User

from hilum.plugins.host import the_host
from inventory.actions.acting import Booked
from inventory.actions.additions import Addition, add_to_run
from inventory.actions.adjusting import Adjustment, adjust
from inventory.actions.bagging import Bagging, bag_off
from inventory.actions.blending import Blend, blend
from inventory.actions.counting import Count, count
from inventory.actions.crosses import NewCross, Pollinated, add_cross, log_pollinations
from inventory.actions.deciding import Deciding, decide
from inventory.actions.desk import Typed
from inventory.actions.drying import Drying, dry
from inventory.actions.feedback import WordBack, keep_feedback
from inventory.actions.field import StageSeen, WeatherLog, log_weather, note_stages
from inventory.actions.gs1 import Stating, state_numbers
from inventory.actions.labelling import Printing, print_labels
from inventory.actions.lines import NewLine, add_line
from inventory.actions.measuring import MoistureReading, read_moisture_of
from inventory.actions.moving import Move, Tip, into_bag, move
from inventory.actions.noting import Amending, Noting, amend_notes, note_all
from inventory.actions.places import NewContainer, add_containers
from inventory.actions.plots import NewPlant, NewPlot, PlotWeight, add_plants, add_plots, weigh_plots
from inventory.actions.promising import Promising, promise
from inventory.actions.reassigning import Reassignment, reassign
from inventory.actions.receiving import Delivery, receive
from inventory.actions.returning import Returning
from inventory.actions.returning import take_back as take_back_shipped
from inventory.actions.reversing import reverse
from inventory.actions.running import Run, book_run
from inventory.actions.sampling import Drawing, draw
from inventory.actions.shipping import Shipping, ship
from inventory.actions.sowing import Sowing, sow
from inventory.actions.splitting import Split, split
from inventory.actions.testing import take_for_test
from inventory.actions.treating import Treating, treat
from inventory.actions.writing_off import WriteOff, write_off
from inventory.importing.measurements import book_measurement, verb_of, words_of_kind
from inventory.importing.plugin_settings import (
    book_settings,
    first_typed,
    secrets_of,
    settable,
    verb_of_setting,
    words_of_settings,
)
from inventory.importing.record_acts import RECORD_ACTS
from inventory.importing.words import UnknownWord, fill
from inventory.models import Station
from inventory.queries.finding_acts import find_act
from inventory.rules.mistakes import Mistake, Refused


@dataclass(frozen=True, kw_only=True)
class Reversal:
    """A reversal as it was typed."""

    act: Typed
    at: Typed = None


def take_back(
    words: Reversal, *, station: Station, by: User, key: str = "", reason: str = "",
    answers: Mapping[str, str] | None = None, now: datetime | None = None,  # noqa: ARG001 - a reversal asks nothing
) -> Booked:  # fmt: skip
    """Reverse the act that people name by its number, its run, its shipment, or the lot it made."""
    try:
        operation = find_act(station, words.act)
    except Mistake as mistake:
        raise Refused([mistake]) from None
    return reverse(operation, station=station, by=by, reason=reason, key=key, at=words.at, now=now)


def one(do_many: Callable[..., Booked]) -> Callable[..., Booked]:
    """Make the act of one out of an action that takes many."""
    return lambda words, **asked: do_many([words], **asked)


@dataclass(frozen=True)
class Act:
    """One act as doors see it."""

    words: type[Any]
    do: Callable[..., Booked]
    fills: Callable[[Station], Mapping[str, str]] = lambda _station: {}  # a fresh form, with what stands now
    secrets: tuple[str, ...] = ()  # fields that no form shows


ACTS: dict[str, Act] = {
    "receive": Act(Delivery, receive),
    "clean": Act(Run, book_run),
    "run": Act(Run, book_run),
    "size": Act(Run, book_run),
    "sort": Act(Run, book_run),
    "bag": Act(Bagging, bag_off),
    "tip": Act(Tip, into_bag),
    "move": Act(Move, move),
    "dry": Act(Drying, dry),
    "treat": Act(Treating, treat),
    "blend": Act(Blend, blend),
    "split": Act(Split, split),
    "late addition": Act(Addition, add_to_run),
    "write off": Act(WriteOff, write_off),
    "count": Act(Count, count),
    "add line": Act(NewLine, add_line),
    "add cross": Act(NewCross, add_cross),
    "pollinate": Act(Pollinated, one(log_pollinations)),
    "add plot": Act(NewPlot, one(add_plots)),
    "add plant": Act(NewPlant, one(add_plants)),
    "field weight": Act(PlotWeight, one(weigh_plots)),
    "reverse": Act(Reversal, take_back),
    "sow": Act(Sowing, sow),
    "ship": Act(Shipping, ship),
    "return": Act(Returning, take_back_shipped),
    "sample": Act(Drawing, draw),
    "test": Act(Drawing, take_for_test),
    "moisture": Act(MoistureReading, one(read_moisture_of)),
    "log weather": Act(WeatherLog, log_weather),
    "note": Act(Noting, one(note_all)),
    "amend note": Act(Amending, one(amend_notes)),
    "note stage": Act(StageSeen, one(note_stages)),
    "promise": Act(Promising, promise),
    "adjust": Act(Adjustment, adjust),
    "reassign": Act(Reassignment, reassign),
    "feedback": Act(WordBack, keep_feedback),
    "label": Act(Printing, print_labels),
    "decide": Act(Deciding, one(decide)),
    "gs1 numbers": Act(Stating, state_numbers),
    "add container": Act(NewContainer, one(add_containers)),
    **{verb: Act(words, do) for verb, (words, do) in RECORD_ACTS.items()},
}


def plain_verb(typed: str) -> str:
    """Bring a verb as typed to the words it is listed by: "add-cross" -> "add cross"."""
    return typed.strip().casefold().replace("_", " ").replace("-", " ")


def all_acts(station: str = "") -> dict[str, Act]:
    """Name every act that can be booked at a station, or at any: our own first, then those that plugins bring."""
    acts = dict(ACTS)
    for offer in the_host().acts(station):
        acts.setdefault(plain_verb(offer.verb), Act(offer.words, offer.do))
    for _plugin, kind in the_host().measurement_kinds(station).values():
        acts.setdefault(verb_of(kind), Act(words_of_kind(kind), partial(book_measurement, kind)))
    for plugin in settable(station):
        fills = partial(first_typed, plugin)
        acts.setdefault(
            verb_of_setting(plugin), Act(words_of_settings(plugin), book_settings(plugin), fills, secrets_of(plugin))
        )
    return acts


def act_of(verb: str, station: str = "") -> Act:
    """Find an act by its verb, our own or a plugin's that is on at the station.

    Raises:
        Refused: there is none, with the nearest verbs.
    """
    acts = all_acts(station)
    act = acts.get(plain_verb(verb))
    if act is None:
        raise Refused([UnknownWord("act", verb, list(acts), field="verb")])
    return act


def book(verb: str, words: Mapping[str, Any], *, station: Station, by: User, **asked: Any) -> Booked:
    """Do an act from its words.

    Args:
        asked: key, reason, answers and now, as the action takes them.

    Raises:
        Refused: everything that stands in the way.
    """
    act = act_of(verb, station.code)
    return act.do(fill(act.words, words), station=station, by=by, **{"reason": "", **asked})
