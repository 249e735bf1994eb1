"""A figure asked as a door asks it: typed words in, its answer or its mistakes out."""

from typing import Any

import pytest

from grading.queries.figures import Answer, figure_of
from inventory.importing.words import fill
from inventory.models import Station
from inventory.rules.mistakes import Mistake, Refused


def asked(name: str, station: Station | None = None, **words: Any) -> Answer:
    """The answer to these words."""
    figure = figure_of(name)
    return figure.work_out(fill(figure.asks, words), station)


def refused(name: str, station: Station | None = None, **words: Any) -> list[Mistake]:
    """What is wrong with these words."""
    with pytest.raises(Refused) as caught:
        asked(name, station, **words)
    return caught.value.mistakes
