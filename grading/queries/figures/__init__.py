"""All figures by name: a module here brings its own in `FIGURES` and is named once below."""

from collections.abc import Mapping

from grading.queries.figures import (
    accepting,
    agreeing,
    alike,
    blending,
    class_carding,
    cleaning,
    cleaning_runs,
    colours,
    comparing_sizes,
    counting_sure,
    crossing,
    detecting,
    drifting,
    enough,
    germinating,
    growing,
    health,
    heat,
    keeping,
    labels,
    line_differences,
    looking,
    measuring_alike,
    moistures,
    planting,
    probing,
    purity,
    row_lengths,
    sizing,
    sowing_plan,
    weighing,
    weighing_sure,
)  # fmt: skip
from grading.queries.figures.figure import Answer, Figure
from grading.rules.mistakes import UnknownWord

__all__ = ["FIGURES", "Answer", "Figure", "figure_of"]

_MODULES = (
    accepting,
    agreeing,
    alike,
    blending,
    class_carding,
    cleaning,
    cleaning_runs,
    colours,
    comparing_sizes,
    counting_sure,
    crossing,
    detecting,
    drifting,
    enough,
    germinating,
    growing,
    health,
    heat,
    keeping,
    labels,
    line_differences,
    looking,
    measuring_alike,
    moistures,
    planting,
    probing,
    purity,
    row_lengths,
    sizing,
    sowing_plan,
    weighing,
    weighing_sure,
)  # fmt: skip
FIGURES: Mapping[str, Figure] = {figure.name: figure for module in _MODULES for figure in module.FIGURES}


def figure_of(name: str) -> Figure:
    """Find a figure by its name, typed in any case, with blanks, hyphens or underscores.

    Raises:
        UnknownWord: there is none of that name.
    """
    wanted = " ".join(name.casefold().replace("_", " ").replace("-", " ").split())
    found = {figure.name.casefold(): figure for figure in FIGURES.values()}.get(wanted)
    if found is None:
        raise UnknownWord("figure", name, FIGURES, "figure")
    return found
