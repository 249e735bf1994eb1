"""The list before planting and selling: germination watch and lots not of the first grade, as values and lines."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import Any

from grading.queries.behind import Standing, standings
from grading.queries.blind import lots_hidden_from
from grading.queries.germination import Watch, Watched, germination_watch, threshold_of
from grading.queries.in_store import InStore, lots_in_store
from grading.queries.looks import look_lines
from grading.queries.seed_tests import WatchedCount, counts_to_watch
from grading.stats.against_limit import Judgement
from grading.stats.beta import chance_text
from hilum.plugins.host import the_host
from inventory.models import Station
from inventory.rules.mass import kg_text, kg_words

HEADS = {
    "below": "Below {threshold} %",
    "too_near": "Too near to call at {threshold} %",
    "repeat": "Spread too wide, test again",
    "older": "Tested over 12 months ago",
    "never": "Never tested",
    "health_over": "Health or off-types over the limit",
    "health_near": "Health or off-types too near to call",
    "not_first": "Not of the first grade",
    "at_limit": "Of the first grade, at its limit",
}


def watch_list(
    station: Station, today: date, person: str = "", lots: Sequence[InStore] | None = None, *, is_short: bool = False
) -> dict[str, Any]:  # fmt: skip
    """Give the watch of a day, with every list of `HEADS` (10 queries).

    Args:
        today: the day.
        person: account that looks; grades of lots that a blind re-grade hides from it are left out.
        lots: those in store, where they are known already.
        is_short: without how sure a grade is, and without what does not look like its line.
    """
    lots = lots_in_store(station) if lots is None else lots
    threshold = threshold_of(station, today)
    watch = germination_watch(station, today, threshold, lots)
    hidden = lots_hidden_from(station, person)
    graded = _graded if is_short else _graded_and_sure
    stand = [each for each in standings(station, lots) if each.lot.lot_id not in hidden]
    return {
        "station": station.code,
        "today": today.isoformat(),
        "threshold_pct": threshold,
        **_germination(watch, threshold),
        **_counts(station, today, lots),
        "not_first": [graded(each) for each in stand if not each.is_first],
        "at_limit": [graded(each) for each in stand if each.is_first and each.at_limit],
        "looks": [] if is_short else look_lines(station),
        "plugins": [trouble.says for trouble in the_host().troubles()],
    }


def watch_words(
    station: Station, today: date, person: str, lots: Sequence[InStore]
) -> dict[str, list[tuple[str, str, str]]]:  # fmt: skip
    """Give each list of `HEADS` but what does not look like its line: its head, the lot, and words about it.

    How sure a grade is stands on the lot's own page: worked out for every lot of a full store, it would take seconds.
    """
    listed = watch_list(station, today, person, lots, is_short=True)
    heads = {name: head.format(threshold=listed["threshold_pct"]) for name, head in HEADS.items()}
    return {name: [(heads[name], row["lot"], _line(row)) for row in listed[name]] for name in HEADS}


def watch_lines(listed: Mapping[str, Any]) -> list[str]:
    """Write the watch as lines of text."""
    lines = [f"{listed['station']} on {listed['today']}"]
    for name, head in HEADS.items():
        lines += ["", f"{head.format(threshold=listed['threshold_pct'])}: {len(listed[name]) or 'none'}"]
        lines += [f"  {_line(row)}" for row in listed[name]]
    more = {"Not like its line:": listed["looks"], "Plugins that the site goes without:": listed["plugins"]}
    return [
        *lines,
        *(line for head, says in more.items() if says for line in ("", head, *(f"  {one}" for one in says))),
    ]


def _germination(watch: Watch, threshold: int) -> dict[str, list[dict[str, Any]]]:
    kinds: dict[str, Sequence[Watched]] = {
        "below": watch.below, "too_near": watch.too_near, "repeat": watch.repeat, "older": watch.older,
        "never": watch.never,
    }  # fmt: skip
    return {name: [_watched(each, threshold) for each in rows] for name, rows in kinds.items()}


def _counts(station: Station, today: date, lots: Sequence[InStore]) -> dict[str, list[dict[str, Any]]]:
    watched = counts_to_watch(station, today, lots)
    return {
        name: [_counted(each) for each in watched[judgement]]
        for name, judgement in (("health_over", Judgement.OVER), ("health_near", Judgement.TOO_NEAR))
    }


def _counted(each: WatchedCount) -> dict[str, Any]:
    counted = each.counted
    return {
        **_lot(each.lot.number, each.lot.line, each.lot.mg),
        "counted": counted.name,
        "found": counted.judged.found,
        "tested": counted.judged.upper.n,
        "date": counted.on.isoformat(),
        "upper": round(counted.judged.upper.high, 6),
        "most_pct": None if counted.judged.most_pct is None else float(counted.judged.most_pct),
        "says": counted.says,
    }


def _watched(each: Watched, threshold: int) -> dict[str, Any]:
    test = each.test
    return {
        **_lot(each.lot.number, each.lot.line, each.lot.mg),
        "test": test and test.number,
        "date": test and test.on.isoformat(),
        "mean_pct": test and str(test.result.mean_pct),
        "chance": test and round(test.chance_at_least(threshold), 6),
    }


def _graded(each: Standing) -> dict[str, Any]:
    return {
        **_lot(each.lot.number, each.lot.line, each.lot.mg),
        "sample": each.sample,
        "grade": each.grade,
        "held_back": list(each.held_back),
        "at_limit": list(each.at_limit),
        "hint": each.hint,
    }


def _graded_and_sure(each: Standing) -> dict[str, Any]:
    sure = each.sure
    return {**_graded(each), "how_sure": sure and sure.says, "samples": list(sure.samples) if sure else []}


def _lot(number: str, line: str, mg: int) -> dict[str, Any]:
    return {"lot": number, "line": line, "kg": kg_text(mg), "kg_words": kg_words(mg)}


def _line(row: Mapping[str, Any]) -> str:
    words = [row["lot"], row["line"] or "blend", f"{row['kg_words']} kg"]
    if "counted" in row:
        words += [f"{row['counted']} {row['says']}"]
    elif "grade" in row:
        words += [f"{row['grade']} by {row['sample']}", *_full([*row["held_back"], *row["at_limit"], row["hint"]])]
        words += _full([row.get("how_sure")])
    elif row["test"]:
        words += [f"{row['mean_pct']} % by {row['test']} of {row['date']}, {chance_text(row['chance'])} chance"]
    return "  ".join(words)


def _full(words: Iterable[str | None]) -> list[str]:
    return [word for word in words if word]
