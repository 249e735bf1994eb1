"""A sheet that is being answered: what can be wrong with an answer before the sheet is checked again."""

from collections.abc import Mapping, Sequence

from inventory.rules.mistakes import Mistake
from inventory.rules.reading import quoted

MOST_ANSWERS = 20_000  # one for every row that a sheet may have
LONGEST = 500  # characters of a value or a reason
KEPT_DAYS = 60  # how long a sheet that nobody touches is kept aside
GIVEN = Mapping[str, object]  # row, column, answer, reason and by, as they are kept


class NoSheetDraft(Mistake):
    """No such sheet is kept aside."""

    code = "no_sheet_draft"

    def __init__(self) -> None:
        super().__init__(
            f"This sheet is no longer kept aside: it was thrown away, or nobody touched it for {KEPT_DAYS} days. "
            "Drop the file again."
        )


class AnsweredMeanwhile(Mistake):
    """Somebody else answered the same question since the page was opened."""

    code = "answered_meanwhile"

    def __init__(self, row: object, column: str, by: str, answer: str) -> None:
        where = f"Row {row}, {column}" if column else f"Row {row}"
        super().__init__(
            f"{where} was answered by {by} since you opened this page: {answer}. "
            "That stands; change it below if it is wrong."
        )


class AnswerMissing(Mistake):
    """An answer that says nothing."""

    code = "answer_missing"

    def __init__(self) -> None:
        super().__init__("Type the value as it should read, or press one of the buttons.", field="value")


class AnswerTooLong(Mistake):
    """An answer that is longer than any cell's word."""

    code = "answer_too_long"

    def __init__(self, length: int) -> None:
        super().__init__(f"The answer has {length:,} characters; {LONGEST} can be kept. Shorten it.", field="value")


class TooManyAnswers(Mistake):
    """More answers than a sheet has rows."""

    code = "too_many_answers"

    def __init__(self) -> None:
        super().__init__(f"A sheet can have {MOST_ANSWERS:,} answers. Put it right in the file and drop it again.")


class StillOpen(Mistake):
    """Saving was asked for while something is open."""

    code = "still_open"

    def __init__(self, count: int) -> None:
        things = "One thing is" if count == 1 else f"{count:,} things are"
        super().__init__(f"{things} still to decide. Nothing was saved.")


class NothingToSave(Mistake):
    """All rows are left out, or all of it stands in the books."""

    code = "nothing_to_save"

    def __init__(self) -> None:
        super().__init__("There is nothing to save: every row is left out, or is in the books as it stands.")


def merged(
    kept: Sequence[GIVEN], given: Sequence[GIVEN], seen: Mapping[tuple[object, str], str]
) -> tuple[list[GIVEN], list[Mistake]]:  # fmt: skip
    """Put new answers beside those that are kept; none takes the place of one that its giver had not seen.

    Args:
        given: an answer "" takes the one that is kept away.
        seen: row and column -> the answer that the page showed, "" for none.

    Returns:
        The answers to keep, and what stands in the way.
    """
    by_place = {_place(answer): answer for answer in kept}
    mistakes: list[Mistake] = []
    for answer in given:
        place = _place(answer)
        before = by_place.get(place)
        stands = str(before["answer"]) if before else ""
        if before and stands not in (seen.get(place, ""), str(answer["answer"])):
            mistakes.append(AnsweredMeanwhile(*place, str(before.get("by", "")), quoted(stands)))
        elif answer["answer"] == "":
            by_place.pop(place, None)
        else:
            by_place[place] = answer
    mistakes += [TooManyAnswers()] if len(by_place) > MOST_ANSWERS else []
    return list(by_place.values()), mistakes


def _place(answer: GIVEN) -> tuple[object, str]:
    return answer["row"], str(answer["column"])
