"""A whole season of samples, and the answer's form: exact figures as text, chances beside them."""

from decimal import Decimal

import pytest
from scipy.stats import beta

from grading.queries.answers import answer, graded
from grading.queries.shipped import shipped_rule_set
from grading.rules.outcome import outcome
from grading.rules.portion import pooled
from grading.stats.beta import chance_text
from inventory.rules.mistakes import Refused
from tests.grading.bench import portion

# Sample, class, 100-seed weight; portion, splits, damaged, foreign material without stones, stones, contrasting [g];
# then as worked by hand: total defects, likely range, foreign material, stones, contrasting [%], grade, chance.
SEASON = """
G01 navy  18.2 |  954.0 14.8 11.2 1.9 0.8  0   | 3.01  2.6 to 3.5  0.28 0.08 0.00 No. 2 <1 %
G02 navy  18.2 |  500.0  5.3  5.4 0.6 0.45 0   | 2.35  1.8 to 3.0  0.21 0.09 0.00 No. 2 10 %
G03 navy  18.2 |  500.3  2.4  3.1 0.1 0    0   | 1.12  0.8 to 1.6  0.02 0.00 0.00 No. 1 >99 %
G16 navy  18.2 |  500.1  2.9  2.5 0.1 0    0   | 1.10  0.8 to 1.5  0.02 0.00 0.00 No. 1 >99 %
G04 navy  17.6 |  499.6  3.1  2.6 0.3 0.1  3.1 | 1.84  1.4 to 2.4  0.08 0.02 0.62 No. 2 72 %
G05 navy  17.6 |  500.1  2.2  2.5 0.1 0    0.2 | 1.00  0.7 to 1.4  0.02 0.00 0.04 No. 1 >99 %
G06 black 19.4 |  500.0  4.1  4.9 0.2 0    0   | 1.84  1.4 to 2.4  0.04 0.00 0.00 No. 1 71 %
G07 black 19.4 |  500.4  3.6  4.2 0.1 0    0   | 1.58  1.2 to 2.1  0.02 0.00 0.00 No. 1 94 %
G08 black 20.8 |  500.2 11.9  8.6 1.0 1.1  0   | 4.52  3.7 to 5.4  0.42 0.22 0.00 No. 3 <1 %
G09 black 20.8 |  500.0  6.2  5.1 0.3 0.1  0   | 2.34  1.8 to 3.0  0.08 0.02 0.00 No. 2 12 %
G10 pinto 36.4 | 1000.2  5.2  8.8 0.4 0    0.4 | 1.48  1.1 to 2.0  0.04 0.00 0.04 No. 1 98 %
G11 navy  18.0 |  500.6  2.9  2.0 0.0 0    0   | 0.98  0.7 to 1.4  0.00 0.00 0.00 No. 1 >99 %
G12 navy  17.4 |  500.1  2.6  3.9 0.2 0    0   | 1.34  1.0 to 1.8  0.04 0.00 0.00 No. 1 >99 %
G14 black 19.6 |  500.0  4.5  5.2 0.3 0    0   | 2.00  1.5 to 2.6  0.06 0.00 0.00 No. 1 49 %
G15 pinto 35.8 | 1000.0  7.1 15.9 0.5 0    0.3 | 2.38  1.9 to 3.0  0.05 0.00 0.03 No. 2 8 %
G13 navy  18.0 | 1000.0  5.5  5.0 0.1 0    0   | 1.06  0.8 to 1.4  0.01 0.00 0.00 No. 1 >99 %
"""
DISHES = ("splits", "damaged", "other_foreign_material", "stones", "contrasting_classes")
LINES = SEASON.strip().split("\n")


def bench(line):
    head, weights, _ = line.split("|")
    _, class_name, seed_weight = head.split()
    portion_g, *grams = weights.split()
    return {
        "rule_set": "QM-DEMO",
        "class": class_name,
        "portion_g": portion_g,
        "weights_g": dict(zip(DISHES, grams, strict=True)),
        "seed_weight_g_per_100": seed_weight,
    }


def factor(result, name):
    return next(entry for entry in result["factors"] if entry["factor"] == name)


def as_a_line(result):
    total = factor(result, "total_defects")
    low, high = (f"{Decimal(end):.1f}" for end in total["interval"])
    names = ("foreign_material", "stones", "contrasting_classes")
    others = " ".join(factor(result, name)["read_pct"] for name in names)
    chance = chance_text(total["within"]["No. 1"])
    return f"{total['read_pct']}  {low} to {high}  {others} {result['grade']} {chance}"


@pytest.mark.parametrize("line", LINES, ids=[line[:3] for line in LINES])
def test_a_season_of_samples_reads_to_the_digit(line):
    assert as_a_line(graded(bench(line))) == line.split("|")[2].strip()


def test_two_portions_of_a_lot_are_surer_than_one():
    first, second = (
        portion(text, seed_weight_g_per_100=Decimal("19.4"))
        for text in (
            "black 500.0: splits 4.1, damaged 4.9, other_foreign_material 0.2",
            "black 500.4: splits 3.6, damaged 4.2, other_foreign_material 0.1",
        )
    )
    both = pooled([first, second])
    assert as_a_line(answer(outcome(shipped_rule_set("QM-DEMO"), both), both)).startswith("1.71  1.4 to 2.1 ")
    assert as_a_line(answer(outcome(shipped_rule_set("QM-DEMO"), both), both)).endswith("No. 1 93 %")


def test_the_contrasting_sample_has_18_in_100_to_be_within_its_limit():
    contrasting = factor(graded(bench(LINES[4])), "contrasting_classes")
    assert chance_text(contrasting["within"]["No. 1"]) == "18 %"


def test_a_single_heavy_stone_gets_no_chance():
    stones = factor(graded(bench(LINES[8])), "stones")
    assert (stones["interval"], stones["within"]) == (None, None)


def test_the_dockage_of_the_uncleaned_sample_stands_first_with_its_own_basis():
    result = graded({**bench(LINES[0]), "gross_g": 1000, "dockage_g": "46.0"})
    assert result["factors"][0] == {
        "factor": "dockage",
        "words": "dockage",
        "basis": "gross",
        "unit": "%",
        "limit_is": "most",
        "raw_pct": "4.600000",
        "read_pct": "4.60",
        "limits": {},
        "interval": None,
        "within": None,
        "pieces": None,
        "upper_pieces": None,
        "next_pieces": None,
        "upper_pct": None,
        "by_weight": None,
    }


def test_without_seed_weight_or_count_there_is_no_chance_and_a_note_says_why():
    document = bench(LINES[4])
    del document["seed_weight_g_per_100"]
    result = graded(document)
    assert {entry["interval"] for entry in result["factors"]} == {None}
    assert any("neither a 100-seed weight nor a count" in note for note in result["notes"])
    assert result["grade"] == "No. 2"


def test_a_count_of_the_portion_serves_where_there_is_no_seed_weight():
    document = bench(LINES[6])
    del document["seed_weight_g_per_100"]
    result = graded({**document, "counts": {"portion": 2577}})
    assert as_a_line(result) == LINES[6].split("|")[2].strip()


def test_the_answer_names_rule_set_edition_and_source():
    result = graded(bench(LINES[0]))
    assert (result["rule_set"], result["edition"]) == ("QM-DEMO", "1")
    assert result["source"] == "demo limits, from memory, not official"
    assert result["source"] in result["notes"]


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"portion_g": Decimal("NaN")}, "portion_g is NaN"),
        ({"portion_g": float("inf")}, "portion_g is inf"),
        ({"portion_g": True}, "portion_g is True"),
        ({"portion_g": "1,234"}, "portion_g is '1,234'"),
        ({"portion_g": "500 g"}, "plain number"),
        ({"portion_g": Decimal("1e30")}, "portion_g is"),
        ({"portion_g": 5_000_000}, "more than the 1,000,000 grams"),
        ({"portion_g": None}, "portion_g is missing"),
        ({"portion_g": 0}, "The portion weighs 0 g"),
        ({"weights_g": None}, "weights_g is missing"),
        ({"weights_g": []}, "weights_g is []"),
        ({"weights_g": {"splits": -3}}, "weights_g.splits is -3 grams"),
        ({"weights_g": {"splits": "999"}}, "more than the portion"),
        ({"weights_g": {"spilts": 1}}, "Did you mean splits?"),
        ({"class": None}, "class is missing"),
        ({"class": 3}, "class is 3"),
        ({"class": "zebra"}, "We know no class"),
        ({"rule_set": "QM"}, "We know no rule set 'QM'"),
        ({"rule_set": None}, "rule_set is missing"),
        ({"counts": {"splits": Decimal("1.5")}}, "Pieces are counted whole"),
        ({"counts": 3}, "counts is 3"),
        ({"appearance": ["good"]}, "appearance is"),
        ({"appearance": {"colour": 3}}, "appearance.colour is 3"),
        ({"moisture_pct": 101}, "more than the 100 per cent"),
        ({"seed_weight_g_per_100": 0}, "100 seeds weigh 0 g"),
        ({"stops": "odour"}, "stops is 'odour'"),
        ({"overlap_g": {"g": 1}}, "overlap_g should be a list"),
        ({"overlap_g": [{"factors": ["damaged"], "g": 1}]}, 'Write {"factors"'),
        ({"mosture_pct": 17}, "Did you mean moisture_pct?"),
        ({"gross_g": 400, "dockage_g": 500}, "leaves no beans"),
        ({"gross_g": 1000}, "gross_g is given without dockage_g"),
    ],
)
def test_what_cannot_be_read_is_refused_in_a_sentence(change, says):
    with pytest.raises(Refused) as refused:
        graded({**bench(LINES[4]), **change})
    assert says in str(refused.value)
    assert all(mistake.says.endswith((".", "?")) for mistake in refused.value.mistakes)


def test_everything_wrong_is_said_at_once():
    with pytest.raises(Refused) as refused:
        graded({"rule_set": "QM", "portion_g": -1, "weights_g": {"splits": "x"}})
    assert [mistake.field for mistake in refused.value.mistakes] == [
        *("rule_set", "class", "portion_g", "weights_g.splits")
    ]


def test_a_colour_word_is_proposed():
    document = {**bench(LINES[4]), "rule_set": "CA-BEANS", "appearance": {"colour": "good natural"}}
    with pytest.raises(Refused, match="Did you mean good_natural"):
        graded(document)


@pytest.mark.outside("scipy.stats.beta: k and n worked by hand from the portion and its 100-seed weight")
@pytest.mark.parametrize(("dish", "grams"), [("splits", 3.1), ("damaged", 2.6)])
def test_a_likely_range_can_be_done_again_from_its_working(dish, grams):
    document = {"rule_set": "QM-DEMO", "class": "navy", "portion_g": 499.6, "seed_weight_g_per_100": 17.6,
                "weights_g": {"splits": 3.1, "damaged": 2.6}}  # fmt: skip
    [step] = [each for each in graded(document)["working"] if each["gives"] == f"{dish}, likely range"]
    n = 499.6 * 100 / 17.6
    k = n * grams / 499.6
    assert step["formula"].startswith(f"2.5 and 97.5 % points of Beta({k:.3f} + 1/2, {n:.2f} - {k:.3f} + 1/2) = ")
    ends = [100 * float(beta.ppf(at, k + 0.5, n - k + 0.5)) for at in (0.025, 0.975)]
    assert f"= {ends[0]:.4f} and {ends[1]:.4f} %" in step["formula"]
    assert "n = 499.6 g × 100 / 17.6 g = 2838.64 seeds" in step["basis"]
