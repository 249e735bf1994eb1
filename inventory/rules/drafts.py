"""A run being filled: which fields it has, and what can be wrong with it before it is booked."""

from collections.abc import Sequence

from inventory.rules.mistakes import Mistake
from inventory.rules.reading import field_words, listed, quoted

# What stands once in a run, beside its spouts and the lots that come out.
ALONE = ("machines", "feed", "feed_place", "feed_bags", "settings", "unaccounted", "at")


class UnknownDraft(Mistake):
    """No run of this number is being filled."""

    code = "unknown_draft"

    def __init__(self, typed: str) -> None:
        super().__init__(f"No run {quoted(typed)} is being filled. Check its number, or start it.", field="run")


class BookedAlready(Mistake):
    """The run was booked."""

    code = "booked_already"

    def __init__(self, number: str) -> None:
        super().__init__(
            f"{number} is booked. Add what was found later as a late addition, or reverse the run.", field="run"
        )


class RunNumberTaken(Mistake):
    """A run of this number stands or is being filled."""

    code = "run_number_taken"

    def __init__(self, number: str) -> None:
        super().__init__(f"{number} is taken by another run. Leave the number out to get the next one.", field="run")


class NoDraftField(Mistake):
    """A field that a run does not have."""

    code = "no_draft_field"

    def __init__(self, name: str, names: Sequence[str]) -> None:
        super().__init__(f"A run has no field {quoted(name)}. It has {listed(list(names), 'and')}.", field="run")


class FilledMeanwhile(Mistake):
    """Somebody else filled in a field after the page that was sent had shown it."""

    code = "filled_meanwhile"

    def __init__(self, name: str, who: str, theirs: str, yours: str) -> None:
        what = field_words(name.rpartition(".")[2])
        there = f"{who} wrote {theirs} as {what} meanwhile" if theirs else f"{who} cleared {what} meanwhile"
        super().__init__(f"{there}; you wrote {yours or 'nothing'}. Save again to put yours in its place.", field=name)
