"""Variables and their scales: what is read, what is asked about, what cannot be read."""

import json
from pathlib import Path

import pytest

from inventory.queries.variables import shipped_variables, variables_by_id
from inventory.rules.mistakes import Level, Mistake
from inventory.rules.variables import find_variable, read_value, scale_words

DICTIONARY = Path("../shared/brapi/co335_seed_quality_variables.json")


def variable(name):
    return find_variable(shipped_variables(), name)


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("white mold", "CO_335:0000443"),
        ("White  Mold", "CO_335:0000443"),
        ("WMF", "CO_335:0000443"),
        ("CO_335:0000443", "CO_335:0000443"),
        ("standing", "LOCAL:standing"),
    ],
)
def test_a_variable_is_found_by_any_of_its_names(typed, found):
    assert variable(typed).id == found


def test_an_unknown_variable_is_answered_with_the_nearest():
    with pytest.raises(Mistake, match="white mold"):
        variable("wite mold")


@pytest.mark.parametrize(
    ("name", "typed", "text"),
    [
        ("flowering", "10 July 2024", "2024-07-10"),
        ("yield", "2,150.5", "2150.5"),
        ("yield", 2150, "2150"),
        ("white mold", "3", "3"),
        ("white mold", 3.0, "3"),
        ("seed colour", "White", "1"),
        ("standing", "all plants stand upright", "1"),
        ("remark", " late rain ", "late rain"),
    ],
)
def test_a_value_is_read_as_exact_text(name, typed, text):
    read = read_value(variable(name), typed)
    assert (read.text, read.mistakes) == (text, ())


@pytest.mark.parametrize(
    ("name", "typed", "says"),
    [
        ("white mold", "12", "White mold is 12; its scale goes from 1 .* to 9 .*, the worst"),
        ("white mold", "3.5", "White mold is 3.5"),
        ("yield", "21500", "Yield is 21500 kg/ha; its scale goes from 0 kg/ha up to 10000 kg/ha"),
        ("seed weight", "-1", "Seed weight is -1 g"),
    ],
)
def test_a_value_off_its_scale_is_asked_about(name, typed, says):
    (question,) = read_value(variable(name), typed).mistakes
    assert question.level is Level.QUESTION
    with pytest.raises(Mistake, match=says):
        raise question


@pytest.mark.parametrize(
    ("name", "typed", "says"),
    [
        ("white mold", "bad", "White mold reads 'bad'. Give 1 "),
        ("seed colour", "12", "Seed colour reads '12'. Give 1 .white., 2 "),
        ("flowering", "soon", "cannot be read as a date"),
        ("yield", "a lot", "cannot be read as a number"),
        ("remark", "x" * 401, "401 signs; 400 fit"),
    ],
)
def test_a_value_that_cannot_be_read_is_refused(name, typed, says):
    with pytest.raises(Mistake, match=says):
        read_value(variable(name), typed)


def test_a_scale_of_disease_says_which_end_is_bad():
    assert scale_words(variable("bacterial blight").scale).endswith("defoliation), the worst")


def test_every_variable_has_its_own_names():
    names = [name for one in shipped_variables() for name in {*map(str.casefold, one.names)}]
    assert len(names) == len(set(names))


@pytest.mark.outside(
    "Crop Ontology CO_335 common bean trait dictionary, 2023, DOI 10.5281/zenodo.10171459, seed quality"
)
def test_ids_and_scales_are_those_of_the_crop_ontology():
    if not DICTIONARY.exists():
        pytest.skip(f"{DICTIONARY} is not here: the dictionary's extract is not part of the project")
    told = {one["observationVariableDbId"]: one for one in json.loads(DICTIONARY.read_text())["variables"]}
    compared = [ours for ours in shipped_variables() if ours.id in told]
    assert len(compared) >= 6
    for ours in compared:
        theirs = told[ours.id]
        assert (ours.short, ours.trait.id, ours.trait.name, ours.method.id, ours.scale.id, ours.scale.name) == (
            theirs["observationVariableName"], theirs["trait"]["traitDbId"], theirs["trait"]["traitName"],
            theirs["method"]["methodDbId"], theirs["scale"]["scaleDbId"], theirs["scale"]["scaleName"],
        )  # fmt: skip
        categories = theirs["scale"].get("validValues", {}).get("categories", [])
        assert list(ours.scale.categories) == [(one["value"], one["label"]) for one in categories]


@pytest.mark.outside("Crop Ontology CO_335 common bean trait dictionary, 2023, rows FDATE, PMDATE and WMF")
def test_flowering_maturity_and_white_mold_are_those_of_the_crop_ontology():
    rows = {one: (variables_by_id()[one].trait.id, variables_by_id()[one].scale.id) for one in (
        "CO_335:0000867", "CO_335:0000871", "CO_335:0000443")}  # fmt: skip
    assert rows == {
        "CO_335:0000867": ("CO_335:0000868", "CO_335:0000870"),
        "CO_335:0000871": ("CO_335:0000872", "CO_335:0000870"),
        "CO_335:0000443": ("CO_335:0000839", "CO_335:0000445"),
    }
