"""Whatever is typed into a figure, it answers in JSON or refuses in sentences, and never falls over."""

import json
from dataclasses import fields
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from grading.queries.figures import FIGURES, figure_of
from inventory.importing.words import fill
from inventory.rules.mistakes import Refused

TYPED = st.sampled_from(
    ["", " ", "0", "-1", "1", "2", "50", "99.95", "100", "1e9", "1e-9", "NaN", "inf", "-inf", "12,5", "1.234", "x" * 99,
     "½", "None", "\x00", "٣", "0.000001", "99999999999999999999", "yes", "2024-02-30", "dry", "1;2;3;4;5;6"]
)  # fmt: skip
OURS = (
    "germination", "germination of two tests", "label against test", "purity", "purity tolerance",
    "other seeds tolerance", "variety purity tolerance", "label tolerances", "seed health", "heterogeneity", "shrink",
    "dry basis", "test weight", "viability forecast",
)  # fmt: skip


def _value(old: Any) -> st.SearchStrategy[Any]:
    """Something else for a field: text, a list of texts, or a mapping like the one that stood there."""
    if isinstance(old, dict):
        return st.dictionaries(st.sampled_from([*old, "other_seeds", "variety", "x"]), TYPED, max_size=4)
    return st.one_of(TYPED, st.lists(TYPED, max_size=6))


def test_the_figures_stand() -> None:
    assert set(OURS) <= set(FIGURES)


@pytest.mark.parametrize("name", OURS)
@settings(max_examples=60)
@given(data=st.data())
def test_a_figure_answers_or_refuses(name: str, data: st.DataObject) -> None:
    figure = figure_of(name)
    words = dict(figure.example)
    names = [field.name for field in fields(figure.asks)]
    for field in data.draw(st.sets(st.sampled_from(names), min_size=1, max_size=3), label="fields"):
        words[field] = data.draw(_value(words.get(field, "")), label=field)
    try:
        answer = figure.work_out(fill(figure.asks, words), None)
    except Refused as refused:
        assert all(mistake.says.strip() for mistake in refused.mistakes)
        return
    assert answer.says
    json.dumps(answer.as_json, allow_nan=False)
