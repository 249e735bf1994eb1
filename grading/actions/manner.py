"""A grader's own tray and switches; it is no act upon seed, so it leaves no trace in the books."""

from collections.abc import Mapping, Sequence

from django.contrib.auth.models import User

from grading.models import BenchManner
from grading.rules.tray import letter_mistakes
from inventory.rules.mistakes import Refused

SWITCHES = ("uses_letters", "sounds", "shows_grade", "advises")


def keep_manner(
    *, by: User, words: Mapping[str, str], order: Sequence[str], letters: Mapping[str, str],
    switches: Mapping[str, bool],
) -> None:  # fmt: skip
    """Keep how a person lays out the bench.

    Args:
        words: dish -> as people read it, of all dishes that were laid out.
        order: their names in the order of the tray.
        letters: dish -> the letter chosen, or "".
        switches: those of `SWITCHES` that are on.

    Raises:
        Refused: a letter stands for two dishes, or is none.
    """
    if wrong := letter_mistakes(words, letters):
        raise Refused(wrong)
    kept = {name: letter.strip().upper() for name, letter in letters.items() if letter.strip()}
    chosen = {name: bool(switches.get(name)) for name in SWITCHES}
    BenchManner.objects.update_or_create(user=by, defaults={"order": list(order), "letters": kept, **chosen})
