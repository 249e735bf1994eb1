"""`manage.py crossings`: the crossing log, and which parents set pods."""

from typing import Any

from inventory.management.door import DONE, Door, columns, the_station
from inventory.queries.breeding import crossing_log, rates_json
from inventory.queries.crossing import ParentRate, crossing_rates

HEADINGS = ("date", "by", "cross", "female × male", "buds", "pods", "seeds")
RATES = ("parent", "crosses", "buds", "pods", "seeds", "set", "likely")


class Command(Door):
    """List pollinations, and the share that set by female and by male with its likely range."""

    help = "Show the crossing log, and the share of pollinations that set by female and by male."

    def answer(self, options: dict[str, Any]) -> int:
        """List and count."""
        station = the_station(options)
        log, rates = crossing_log(station), crossing_rates(station)
        if options["json"]:
            self.say_json({"log": log, **rates_json(rates)})
            return DONE
        if not log:
            self.say("No pollination is in the books.")
            return DONE
        self.say(*columns([HEADINGS, *map(_cells, log)], right=frozenset({4, 5, 6})))
        self.say("", "By female, the one that seldom sets first:", *_counted(rates.by_female))
        self.say("", "By male:", *_counted(rates.by_male))
        return DONE


def _cells(row: dict[str, Any]) -> tuple[str, ...]:
    pair = f"{row['female']} × {row['male']}"
    return (row["date"][:10], row["by"], row["cross"], pair, str(row["buds"]), str(row["pods"]), str(row["seeds"]))


def _counted(rates: list[ParentRate]) -> list[str]:
    return columns([RATES, *map(_rate, rates)], right=frozenset({1, 2, 3, 4, 5}))


def _rate(rate: ParentRate) -> tuple[str, ...]:
    share = rate.share
    counts = (str(rate.crosses), str(rate.buds), str(rate.pods), str(rate.seeds))
    return (rate.parent, *counts, f"{share.estimate:.0%}", f"{share.low:.0%} to {share.high:.0%}")
