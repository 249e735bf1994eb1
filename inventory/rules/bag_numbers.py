"""Numbers of bags as people write them: "1-6, 24"."""

import re
from collections.abc import Sequence

from inventory.rules.mistakes import Mistake
from inventory.rules.reading import quoted

MOST_BAGS = 5_000
_SHORTEST_RUN = 3  # "1, 2" reads better than "1-2"


class NotBagNumbers(Mistake):
    """Bag numbers that cannot be read."""

    code = "not_bag_numbers"

    def __init__(self, typed: str) -> None:
        super().__init__(f"{quoted(typed)} names no bags. Write numbers and ranges, for example 1-6, 24.", field="bags")


class TooManyBags(Mistake):
    """More bags than anyone moves at once."""

    code = "too_many_bags"

    def __init__(self) -> None:
        super().__init__(f"That is more than {MOST_BAGS:,} bags. Check the range, or do it in parts.", field="bags")


def read_bags(typed: object) -> list[int]:
    """Read bag numbers: "1-6, 24" -> [1, 2, 3, 4, 5, 6, 24].

    Raises:
        NotBagNumbers: something else is in it.
        TooManyBags: more than anyone moves at once.
    """
    numbers: list[int] = []
    for part in re.split(r"[,;\s]+", re.sub(r"\s*[-–]\s*", "-", str(typed).strip())):
        found = re.fullmatch(r"([1-9]\d{0,4})(?:-([1-9]\d{0,4}))?", part)
        if not found:
            raise NotBagNumbers(str(typed))
        first, last = int(found[1]), int(found[2] or found[1])
        numbers.extend(range(first, min(last, first + MOST_BAGS) + 1))
        if len(numbers) > MOST_BAGS:
            raise TooManyBags
    return list(dict.fromkeys(numbers))


def in_ranges(numbers: Sequence[int]) -> str:
    """Write numbers of bags: [1, 2, 3, 7] -> "1-3, 7".

    Args:
        numbers: rising.
    """
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(f"{run[0]}-{run[-1]}" if len(run) >= _SHORTEST_RUN else ", ".join(map(str, run)) for run in runs)
