"""What can be wrong or worth saying about one cell of a sheet."""

from decimal import Decimal

from inventory.rules.mistakes import Mistake, Note, Question
from inventory.rules.reading import field_words, quoted


class MergedCell(Note):
    """A cell that is merged with the one above and says the same."""

    code = "merged_cell"

    def __init__(self, value: str, above: str) -> None:
        super().__init__(f"The cell is merged with {above}, so it was read as {quoted(value)} too.", proposal=value)


class MergedMass(Question):
    """A weight or number that one merged cell gives for several rows."""

    code = "merged_mass"

    def __init__(self, value: str, above: str) -> None:
        super().__init__(
            f"The cell is merged with {above}. Is {quoted(value)} the value of each of these rows, or of all together? "
            "Keep it for each, or give this row's own."
        )


class NotWhole(Mistake):
    """A count that is no whole number."""

    code = "not_whole"

    def __init__(self, typed: str, field_name: str) -> None:
        super().__init__(f"{field_words(field_name)} {quoted(typed)} is no whole number. Count again, in digits.")


class NotAShare(Mistake):
    """A share below nothing or above all."""

    code = "not_a_share"

    def __init__(self, typed: str, field_name: str) -> None:
        super().__init__(f"{field_words(field_name)} {quoted(typed)} is no share: it lies between 0 and 100 %.")


class NotYesNo(Mistake):
    """A cell that says neither yes nor no."""

    code = "not_yes_no"

    def __init__(self, typed: str, field_name: str) -> None:
        super().__init__(f"{field_words(field_name)} {quoted(typed)} says neither yes nor no. Write one of them.")


class ReadByHabit(Note):
    """A number that could be two, read as the sheet writes its others."""

    code = "read_by_habit"

    def __init__(self, typed: str, *, is_decimal: bool) -> None:
        sign = "a decimal comma" if is_decimal else "a comma between thousands"
        super().__init__(f"{quoted(typed)} was read with {sign}, as other numbers of this sheet are written.")


class ReadDryBasis(Note):
    """A moisture under a heading that says dry basis."""

    code = "read_dry_basis"

    def __init__(self, dry: Decimal, wet: Decimal) -> None:
        super().__init__(f"{dry:f} % on dry basis was read as {wet} % wet basis.", proposal=str(wet))
