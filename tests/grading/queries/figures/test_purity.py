"""Purity figures and labels in typed words."""

import pytest

from tests.grading.queries.figures.working import figure, refused

SAMPLE = {"working_g": "500.00", "pure_seed_g": "497.31", "other_crop_g": "0.86", "weed_g": "0.21", "inert_g": "1.62"}


def test_a_purity_is_said_in_the_order_of_the_rule():
    answer = figure("purity", **SAMPLE)
    assert answer.says == ("Pure seed 99.47 %, other crop seed 0.17 %, weed seed 0.04 %, inert matter 0.32 %.",)
    assert answer.values["lost_pct"] == "0"
    assert "100 - 0.17 - 0.04 - 0.32 = 99.47 %" in [step.formula for step in answer.working]


def test_the_one_decimal_manner_says_that_it_is_from_memory():
    answer = figure("purity", **SAMPLE, manner="one decimal")
    assert answer.values["weed_pct"] == "TR"
    assert "from memory and unverified" in answer.notes[0]


@pytest.mark.parametrize(
    ("words", "field", "says"),
    [
        ({"working_g": ""}, "working_g", "Working g is missing"),
        ({"working_g": "0"}, "working_g", "weighs 0 g"),
        ({"working_g": "NaN"}, "working_g", "cannot be read as a number"),
        ({"weed_g": "-0.1"}, "weed_g", "Weed g is -0.1 g"),
        ({"weed_g": "510"}, "weed_g", "more than the portion"),
        ({"pure_seed_g": "490"}, "working_g", "1.46 % apart, 0.5 is allowed"),
        ({"manner": "three decimals"}, "manner", "Manner reads 'three decimals'"),
        ({"working_g": "20.00", "pure_seed_g": "", "inert_g": "0.1"}, "pure_seed_g", "Below 25 g all four parts"),
    ],
)
def test_what_cannot_be_a_sample_is_a_sentence_at_its_field(words, field, says):
    assert says in refused("purity", **{**SAMPLE, **words})[field]


def test_a_loss_that_is_allowed_by_the_one_who_asks_goes_through():
    assert figure("purity", **{**SAMPLE, "pure_seed_g": "490"}, most_loss_pct="2").values["pure_seed_pct"] == "99.47"


@pytest.mark.outside("7 CFR 201.60 with (a)(2): claim 99.00, found 98.30 averages 98.65, tolerance 0.71")
@pytest.mark.parametrize(("found", "within"), [("98.30", True), ("98.28", False), ("99.90", True)])
def test_a_pure_seed_claim_is_held_against_what_was_found(found, within):
    values = figure("purity tolerance", label_pct="99.00", found_pct=found).values
    assert values["within"] is within
    if found != "99.90":
        assert values["tolerance_points"] == "0.71"


def test_more_weeds_than_labelled_are_the_worse_side():
    words = {"label_pct": "0.10", "component": "weed"}
    assert figure("purity tolerance", **words, found_pct="0.60").values["within"] is False
    assert figure("purity tolerance", **words, found_pct="0.00").values["within"] is True


@pytest.mark.outside("7 CFR 201.65 (76 FR 31794, 2011) and the edition before it: 2 labelled")
@pytest.mark.parametrize(("edition", "most"), [("2011", "4"), ("2000", "6")])
def test_other_seeds_are_counted_against_the_edition_that_is_named(edition, most):
    values = figure("other seeds tolerance", labelled="2", found=most, edition=edition).values
    assert (values["most_within_tolerance"], values["within"]) == (most, True)
    assert figure("other seeds tolerance", labelled="2", found=str(int(most) + 1), edition=edition).values[
        "within"
    ] is False  # fmt: skip


def test_a_purity_of_variety_takes_half_the_pure_seed_tolerance_where_it_is_known():
    words = {"label_pct": "99", "found_pct": "96", "number": "200"}
    assert figure("variety purity tolerance", **words).values["tolerance_points"] == "3.2"
    more = {"pure_seed_label_pct": "99", "pure_seed_found_pct": "98.3"}
    assert figure("variety purity tolerance", **words, **more).values["tolerance_points"] == "3.555"
    hybrid = figure("variety purity tolerance", **words, **more, hybrid="yes")
    assert hybrid.values["tolerance_points"] == "3.2"
    assert "the label is of hybrids" in hybrid.notes[0]


@pytest.mark.parametrize(
    ("name", "words", "field", "says"),
    [
        ("purity tolerance", {"label_pct": "99", "found_pct": "101"}, "found_pct", "Found pct is 101 %"),
        ("purity tolerance", {"label_pct": "99", "found_pct": "98", "component": "dust"}, "component", "'dust'"),
        ("other seeds tolerance", {"labelled": "2.5", "found": "3"}, "labelled", "it was counted"),
        ("other seeds tolerance", {"labelled": "2", "found": "3", "edition": "1950"}, "edition", "2011 or 2000"),
        ("variety purity tolerance", {"label_pct": "99", "found_pct": "98", "number": "5"}, "number", "10 to 1,000"),
        (
            "variety purity tolerance",
            {"label_pct": "99", "found_pct": "98", "number": "50", "pure_seed_label_pct": "99"},
            "pure_seed_found_pct",
            "is missing",
        ),
    ],
)
def test_what_cannot_be_claimed_is_a_sentence_at_its_field(name, words, field, says):
    assert says in refused(name, **words)[field]


def test_a_whole_label_is_held_line_by_line():
    answer = figure(
        "label tolerances",
        labelled={"germination": "90", "pure_seed": "99", "weed": "0.1", "other_seeds": "0", "variety": "99"},
        found={"germination": "82", "pure_seed": "98.3", "weed": "0.4", "other_seeds": "2", "variety": "97"},
        variety_number="200",
    )
    within = {name: line["within"] for name, line in answer.values["lines"].items()}
    assert within == {"germination": False, "pure_seed": True, "weed": True, "other_seeds": True, "variety": True}
    assert answer.values["all_within"] is False
    assert answer.values["lines"]["variety"]["tolerance_points"] == "3.105"  # 2.75 + 0.71 / 2


@pytest.mark.parametrize(
    ("labelled", "found", "field", "says"),
    [
        ({}, {}, "labelled", "No line of a label was given"),
        ({"germination": "90"}, {}, "found.germination", "given on one side only"),
        ({"germinaton": "90"}, {"germinaton": "90"}, "labelled.germinaton", "Give germination"),
        ({"other_seeds": "1.5"}, {"other_seeds": "1"}, "labelled.other_seeds", "it was counted"),
        ({"variety": "99"}, {"variety": "98"}, "variety_number", "is missing"),
        ({"germination": "NaN"}, {"germination": "90"}, "labelled.germination", "cannot be read"),
    ],
)
def test_a_label_that_cannot_be_held_is_a_sentence_at_its_line(labelled, found, field, says):
    assert says in refused("label tolerances", labelled=labelled, found=found)[field]
