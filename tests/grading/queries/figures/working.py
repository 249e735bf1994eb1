"""A figure worked out as a door does it: typed words in, values and sentences out."""

from typing import Any

import pytest

from grading.queries.figures import Answer, figure_of
from inventory.importing.words import fill
from inventory.rules.mistakes import Refused


def figure(name: str, **words: Any) -> Answer:
    """The answer of a figure."""
    asked = figure_of(name)
    return asked.work_out(fill(asked.asks, words), None)


def refused(name: str, **words: Any) -> dict[str, str]:
    """What a figure refuses: field -> sentence."""
    with pytest.raises(Refused) as refusal:
        figure(name, **words)
    return {mistake.field: mistake.says for mistake in refusal.value.mistakes}
