"""Which gradings come back to another grader, and who may pick one: rules that need no books."""

from collections.abc import Iterable

from inventory.rules.mistakes import Mistake

MOST_IN = 1000


class RegradeOfRegrade(Mistake):
    """A sample that was taken out again is to be taken out again itself."""

    code = "regrade_of_regrade"

    def __init__(self, number: str) -> None:
        says = f"{number} was itself taken out of a file sample. Take out the sample that it was kept from."
        super().__init__(says, field="file_sample_of")


class NotGradedYet(Mistake):
    """Nothing to compare a blind re-grade with."""

    code = "not_graded_yet"

    def __init__(self, number: str) -> None:
        says = f"{number} is not graded yet, so a blind re-grade has nothing to be held against. Grade it first."
        super().__init__(says, field="file_sample_of")


class NothingDue(Mistake):
    """A blind re-grade without a sample's number, and none is due."""

    code = "nothing_due"

    def __init__(self) -> None:
        says = "No sample is due for a blind re-grade. Name one as file_sample_of=G03."
        super().__init__(says, field="file_sample_of")


class SameGrader(Mistake):
    """Whoever graded a sample first is to grade it again, blind."""

    code = "same_grader"

    def __init__(self, grader: str, number: str) -> None:
        says = (
            f"{grader} may not pick {number}: a blind re-grade is for a grader who has not picked these beans before."
        )
        super().__init__(f"{says} Give it to another one.", field="grader")


class LaidItOut(Mistake):
    """Whoever laid a blind sample out knows which it is."""

    code = "laid_it_out"

    def __init__(self, grader: str, number: str) -> None:
        says = f"{grader} laid out {number} and knows which sample it is. Give it to another grader."
        super().__init__(says, field="grader")


def is_chosen(chain_hash: str, one_in: int) -> bool:
    """Say whether a grading comes back.

    The hash of the grading's own act, read as a number, divides by `one_in`. Nobody knows that hash before the act is
    in the books, and anybody can work it out again from the books afterwards.

    Args:
        chain_hash: of the grading's act, hexadecimal.
        one_in: 1 to 1000, or 0 for none.

    Source: ours, no source.
    """
    return one_in > 0 and int(chain_hash, 16) % one_in == 0


def grader_mistakes(number: str, grader: str, *, first: Iterable[str], laid_out_by: str) -> list[Mistake]:
    """Say why a person may not pick a blind sample.

    Args:
        number: its tag.
        grader: who is to pick it.
        first: who picked the sample it was kept from.
        laid_out_by: account that took it out.
    """
    who = _folded(grader)
    if who in {_folded(one) for one in first}:
        return [SameGrader(grader, number)]
    return [LaidItOut(grader, number)] if who == _folded(laid_out_by) else []


def _folded(name: str) -> str:
    return " ".join(name.split()).casefold()
