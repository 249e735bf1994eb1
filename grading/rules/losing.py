"""Which rows of a table a portion loses, and by what: `rows.shortfalls` for a whole table at once, in whole numbers."""

from collections.abc import Mapping

from grading.rules.gauges import Ready, Shares
from grading.rules.portion import Portion
from grading.rules.rows import Shortfall

Lost = Mapping[str, int]  # factor or judged thing -> the rows that it bars, as bits


def rows_lost(ready: Ready, pan: Shares, portion: Portion) -> dict[str, int]:
    """Say which rows each factor and each judged word bars; what was not read or not judged bars none."""
    lost = {}
    for gauge in ready.limited:
        top, bottom = pan.share(gauge)
        if top:
            if rows := gauge.lost(top, bottom):
                lost[gauge.factor] = rows
        elif gauge.rows_at_nought and bottom:
            lost[gauge.factor] = gauge.rows_at_nought
    judged = portion.judged
    for thing, words in ready.words.items():
        if thing in judged and (rows := words[judged[thing]]):
            lost[thing] = rows
    return lost


def shortfalls_of(ready: Ready, lost: Lost) -> dict[str, tuple[Shortfall, ...]]:
    """Give for each row what keeps the portion out of it."""
    return {
        row.name: tuple([ready.shortfalls[thing][at] for thing, rows in lost.items() if rows >> at & 1])
        for at, row in enumerate(ready.table.grades)
    }
