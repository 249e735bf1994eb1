"""Short texts of devices and readings: judged before they are kept."""

from inventory.rules.mistakes import Mistake
from inventory.rules.reading import field_words


class TextUnfit(Mistake):
    """A text that is empty, too long, or holds signs that nobody sees."""

    code = "text_unfit"

    def __init__(self, name: str, most: int, length: int) -> None:
        has = f"has {length:,} characters" if not 0 < length <= most else "is blank, or holds a sign that nobody sees"
        says = f"{field_words(name)} {has}. Give 1 to {most:,}, on one line."
        super().__init__(says, field=name)


def of_line(name: str, text: str, most: int) -> list[Mistake]:
    """Judge a text that stands on one line of a page."""
    is_fit = 0 < len(text.strip()) <= len(text) <= most and text.isprintable()
    return [] if is_fit else [TextUnfit(name, most, len(text))]
