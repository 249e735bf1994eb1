"""A run over the cleaning line: its machines, what they may lose, and whether it adds up."""

from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal

from inventory.rules.mass import MG_PER_KG, kg_words
from inventory.rules.mistakes import Level, Mistake, Note, Question
from inventory.rules.reading import listed, plain, quoted, unaccented
from inventory.rules.rounding import half_up

# The machines of a bean line, in the trade's words, and what else people write for them.
MACHINES: dict[str, tuple[str, ...]] = {
    "pre-cleaner": ("precleaner", "pre-clean", "preclean", "scalper"),
    "air-screen": ("air screen", "airscreen", "air-screen cleaner"),
    "gravity": ("gravity table", "gravity separator"),
    "sizing": ("sizer", "size", "grader screens"),
    "hand-pick": ("hand pick", "handpick", "hand-pick belt", "picking belt"),
    "destoner": ("de-stoner", "stoner"),
    "colour sorter": ("color sorter", "colour sort", "color sort", "sorter"),
}
# Allowed unaccounted mass, parts per million of the feed: common practice of the plant, no published source.
SAME_WITHIN_MG = MG_PER_KG // 2
USUAL_LOSS_PPM = 10_000
GENTLE_LOSS_PPM = 5_000
_GENTLE = ("gravity", "sizing", "hand-pick", "colour sorter", "destoner")


class UnknownMachine(Mistake):
    """A word that names no machine of the line."""

    code = "unknown_machine"

    def __init__(self, word: str) -> None:
        super().__init__(
            f"No machine is called {quoted(word)}. Use {listed(list(MACHINES))}, joined with +.", field="machine"
        )


class TooMuchOut(Mistake):
    """More came off than was fed."""

    code = "too_much_out"

    def __init__(self, over_mg: int) -> None:
        super().__init__(
            f"Spouts add up to {kg_words(over_mg)} kg more than was fed. Was a tare not taken off?", field="out"
        )


class UnknownStream(Mistake):
    """A word that names no spout of the line."""

    code = "unknown_stream"

    def __init__(self, word: str, streams: Sequence[str]) -> None:
        super().__init__(f"No spout is called {quoted(word)}. Use {listed(list(streams))}.", field="stream")


class MoreThanMissing(TooMuchOut):
    """More was found for a run than it misses."""

    def __init__(self, run: str, found_mg: int, missing_mg: int) -> None:
        Mistake.__init__(
            self,
            f"{kg_words(found_mg)} kg are added to {run}, but only {kg_words(missing_mg)} kg of it are missing. "
            "Was a tare not taken off, or is it another run's?",
            field="out",
        )


class AddedBeforeRun(Mistake):
    """An addition dated before its run."""

    code = "added_before_run"

    def __init__(self, run: str, day: date, ran_on: date) -> None:
        super().__init__(f"{run} ran on {ran_on}; this addition is dated {day}. Check the date.", field="at")


class LossOverAllowed(Question):
    """More is missing than the machine may lose."""

    code = "loss_over_allowed"

    def __init__(self, missing_mg: int, feed_mg: int, allowed_ppm: int) -> None:
        allowed = half_up(Decimal(allowed_ppm) / 10_000, 1)
        super().__init__(
            f"{kg_words(missing_mg)} kg of {kg_words(feed_mg)} are missing ({percent_of(missing_mg, feed_mg)} %, "
            f"allowed {allowed}). Any tote not weighed? You can leave the run open.",
            field="out",
        )


class FedBefore(Question):
    """The same lot was fed to the same machines on the same day with about the same mass."""

    code = "fed_before"
    level = Level.DUPLICATE

    def __init__(self, number: str, lot: str, mg: int) -> None:
        super().__init__(
            f"{kg_words(mg)} kg of {lot} went over the same machines that day as {number}. Same run?", field="feed"
        )


class NumberAgain(Note):
    """Another run stands under the same number."""

    code = "run_number_again"

    def __init__(self, number: str, day: date) -> None:
        super().__init__(
            f"{number} is also the run of {day}: where the number alone is named, the newest is meant.", field="run"
        )


class UnaccountedDiffers(Question):
    """The unaccounted mass that was written is not what is left of the feed."""

    code = "unaccounted_differs"

    def __init__(self, written_mg: int, left_mg: int) -> None:
        super().__init__(
            f"Unaccounted reads {kg_words(written_mg)} kg, but feed less all spouts is {kg_words(left_mg)}. "
            "Check the spouts, or go on with what is left.",
            field="unaccounted",
            proposal=kg_words(left_mg),
        )


def read_machines(typed: str) -> tuple[str, ...]:
    """Read the machines of a run, in the order of the line: "air-screen + gravity in line".

    Raises:
        UnknownMachine: a word names none; remarks in brackets are passed over.
    """
    words = [word.split("(")[0] for word in plain(typed).replace("/", "+").replace(",", "+").split("+")]
    return tuple(dict.fromkeys(_machine(word) for word in words if word.strip()))


def _machine(word: str) -> str:
    name = unaccented(word).replace(" in line", "").replace(" re-clean", "").strip(" .-")
    for machine, others in MACHINES.items():
        if name == machine or name in others or name.replace(" belt", "") == machine:
            return machine
    raise UnknownMachine(word.strip())


def allowed_loss_ppm(machines: Sequence[str]) -> int:
    """Say what a run may lose: a gentle machine alone, or hand-pick with gravity, half of what others may."""
    is_gentle = all(machine in _GENTLE for machine in machines)
    return GENTLE_LOSS_PPM if is_gentle and (len(machines) == 1 or "hand-pick" in machines) else USUAL_LOSS_PPM


def kind_of_run(machines: Sequence[str]) -> str:
    """Name the act: sizing makes sizes, picking and colour sorting sort, all else cleans."""
    if "sizing" in machines:
        return "size"
    return "sort" if set(machines) <= {"hand-pick", "colour sorter"} else "clean"


def balance_mistakes(feed_mg: int, outs_mg: int, taken_mg: int, allowed_ppm: int) -> list[Mistake]:
    """Hold a run against its feed.

    Args:
        feed_mg: what went in [mg].
        outs_mg: clean seed of all lots that came out [mg].
        taken_mg: everything that was taken off [mg].
        allowed_ppm: allowed unaccounted mass [parts per million of the feed].
    """
    missing = feed_mg - outs_mg - taken_mg
    if missing < 0:
        return [TooMuchOut(-missing)]
    if missing * 1_000_000 > allowed_ppm * feed_mg:
        return [LossOverAllowed(missing, feed_mg, allowed_ppm)]
    return []


def percent_of(part_mg: int, whole_mg: int) -> str:
    """Write a share of the feed with two decimals, half up: "0.56"."""
    return str(half_up(Decimal(part_mg) * 100 / Decimal(whole_mg), 2))


def fed_before(lot: str, feed_mg: int, before: Iterable[tuple[str, int]]) -> list[Mistake]:
    """Ask whether a run is in already: same lot, machines and day, feed within half a kilogram.

    Args:
        before: number and feed [mg] of that day's runs of the lot over the same machines.
    """
    same = [number for number, mg in before if abs(mg - feed_mg) <= SAME_WITHIN_MG]
    return [FedBefore(same[0], lot, feed_mg)] if same else []
