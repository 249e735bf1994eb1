"""Whole tables judged at once in whole numbers agree with the plain rule, limit by limit, whatever lies in the pan."""

from decimal import Decimal
from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from grading.queries.shipped import shipped_rule_set
from grading.rules.outcome import outcome
from grading.rules.portion import Overlap, Portion
from grading.rules.rows import shortfalls
from tests.grading.bench import portion

DISHES = (
    *("splits", "damaged", "stones", "other_foreign_material"),
    *("contrasting_classes", "classes_that_blend"),
)
GRAMS = st.decimals(0, 30, places=2) | st.decimals(0, 3, places=5) | st.sampled_from([Decimal(0), Decimal("0.05")])
PORTIONS = st.builds(
    lambda weights, colour, uniform, heavy: Portion(
        "pinto",
        Decimal("500.1") + heavy,
        {name: grams for name, grams in zip(DISHES, weights, strict=True) if grams},
        judged={"colour": colour, "uniform_size": uniform},
        overlaps=(Overlap(("damaged", "contrasting_classes"), min(weights[1], weights[4])),) if heavy else (),
    ),
    st.lists(GRAMS, min_size=6, max_size=6),
    st.sampled_from(["good_natural", "reasonably_good", "fairly_good", "off"]),
    st.sampled_from(["yes", "no"]),
    st.sampled_from([Decimal(0), Decimal("0.003")]),
)


def by_hand(each: Portion, name: str, dishes: tuple[str, ...]) -> Fraction:
    twice = (
        each.overlaps[0].grams if each.overlaps and {"damaged", "contrasting_classes"} <= set(dishes) else Decimal(0)
    )
    total = sum((Fraction(each.weights_g.get(dish, Decimal(0))) for dish in dishes), Fraction(0))
    return (total - Fraction(twice)) / Fraction(each.portion_g)


@settings(max_examples=150, deadline=None)
@given(PORTIONS, st.sampled_from(["CA-BEANS", "QM-DEMO"]))
def test_every_row_is_barred_by_the_same_things_as_limit_by_limit(each: Portion, rule_set_id: str) -> None:
    rule_set = shipped_rule_set(rule_set_id)
    result = outcome(rule_set, each)
    shares = {name: by_hand(each, name, factor.dishes) for name, factor in rule_set.factors.items()}
    assert result.shares == shares
    for row in result.table.grades:
        plain = shortfalls(rule_set, row, shares, each.judged)
        assert sorted(result.short[row.name], key=str) == sorted(plain, key=str)
        assert (row.name in result.qualifies_for) == (not plain)


def test_weights_with_many_decimals_stay_exact() -> None:
    hair = Decimal("1e-25")
    at_limit = portion("navy 500: splits 10.025", judged={})  # 2.005 % reads 2.01
    below = Portion("navy", Decimal(500), {"splits": Decimal("10.025") - hair})
    demo = shipped_rule_set("QM-DEMO")
    assert [outcome(demo, each).grade for each in (at_limit, below)] == ["No. 2", "No. 1"]
