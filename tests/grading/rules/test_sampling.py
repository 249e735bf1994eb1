"""Sampling schemes against the statutes that print them."""

from decimal import Decimal

import pytest

from grading.rules.sampling import bag_cores, bags_to_probe, bulk_samples, container_samples, sampling
from inventory.rules.mistakes import Refused


@pytest.mark.outside(
    "WAC 16-301-095 and 7 CFR 201.41 (76 FR 31794, 2011): all of 1-6, else 5 + 10 % rounded to nearest, never over 30"
)
@pytest.mark.parametrize(
    ("bags", "probed"),
    [
        *((1, 1), (5, 5), (6, 6), (7, 6), (10, 6), (14, 6), (15, 7), (18, 7), (23, 7), (25, 8), (50, 10), (100, 15)),
        *((200, 25), (244, 29), (245, 30), (249, 30), (250, 30), (400, 30), (1000, 30)),
    ],
)
def test_it_probes_as_many_bags_as_the_seed_rule_says(bags, probed):
    assert bags_to_probe(bags) == probed


@pytest.mark.outside("WAC 16-301-095: at least 5 cores in total")
def test_few_bags_still_give_five_cores():
    assert [bag_cores(bags) for bags in (1, 4, 5, 6, 15)] == [5, 5, 5, 6, 7]


@pytest.mark.outside(
    "SSI 2005/328 Sch. 5 para. 6: 1-4 three each; 5-8 two each; 9-15 one each; 16-30 15; 31-59 20; 60 or more 30"
)
@pytest.mark.parametrize(
    ("containers", "samples"),
    [
        *((1, 3), (4, 12), (5, 10), (8, 16), (9, 9), (15, 15), (16, 15), (30, 15), (31, 20), (59, 20), (60, 30)),
        (200, 30),
    ],
)
def test_it_takes_as_many_primary_samples_from_containers_as_the_statute_says(containers, samples):
    assert container_samples(containers) == samples


@pytest.mark.outside(
    "SSI 2005/329 Sch. 5 para. 11: to 500 kg at least 5; to 3,000 one per 300 kg; to 20,000 one per 500 kg, not "
    "under 10; beyond, one per 700 kg, not under 40. Part of a step counted whole is our reading"
)
@pytest.mark.parametrize(
    ("kg", "samples"),
    [
        *((500, 5), (501, 5), (1500, 5), (1501, 6), (3000, 10), (3001, 10), (5000, 10), (20000, 40), (20001, 40)),
        *((28000, 40), (28001, 41), (30000, 43)),
    ],
)
def test_it_takes_as_many_primary_samples_from_bulk_as_the_statute_says(kg, samples):
    assert bulk_samples(kg) == samples


def test_it_says_what_was_probed_and_what_the_rule_asks():
    enough = sampling("bags", 23, 7)
    assert (enough.is_enough, enough.says) == (True, "7 of 23 bags probed; the rule asks 7.")
    short = sampling("bins", 1, 4)
    assert (short.is_enough, short.says) == (False, "4 of 8 points probed.")
    assert sampling("totes", 3, 10).is_enough


def test_it_names_everything_wrong_at_once():
    with pytest.raises(Refused) as refused:
        sampling("bag", 0, -1)
    assert [mistake.field for mistake in refused.value.mistakes] == ["scheme", "size", "probed"]
    assert "Did you mean bags?" in str(refused.value)


@pytest.mark.outside(
    "Know Your Grade: sampling (CCGA, citing the Canadian Grain Commission): 8 probes, 10 if partitioned"
)
@pytest.mark.parametrize(("scheme", "probes"), [("truck", 8), ("split-truck", 10)])
def test_it_probes_a_truck_as_often_as_the_commission_says(scheme, probes):
    assert sampling(scheme, 1, probes).asked == probes
    assert sampling(scheme, 2, probes).says == f"{probes} of {2 * probes} probes probed."


@pytest.mark.outside(
    "Canadian Grain Commission, Sampling Systems Handbook, ch. 4: 5 of a 20 t container, 1 for each 4 t"
)
@pytest.mark.parametrize(("kg", "samples"), [(1, 5), (20_000, 5), (20_001, 6), (24_000, 6), (40_000, 10)])
def test_it_takes_a_shipping_containers_samples_by_its_mass(kg, samples):
    assert sampling("shipping-container", kg, samples).asked == samples


@pytest.mark.outside("SI 1993/2008, Sch. 5, Part II: French bean, 30 tonnes with 5 % excess, 700 g submitted")
@pytest.mark.parametrize(
    ("kg", "grams", "cautions"),
    [(30_000, 700, 0), (31_500, 700, 0), (31_501, 700, 1), (31_501, 699, 2), (64_000, 1000, 1)],
)
def test_a_lot_over_the_largest_counts_as_several_and_a_small_sample_is_said(kg, grams, cautions):
    drawn = sampling("bulk", kg, 200, drawn_g=Decimal(grams))
    assert len(drawn.cautions) == cautions
    if kg == 64_000:
        assert "over the largest of 30,000 kg and 5 %: sample it as 3 lots" in drawn.cautions[0]


@pytest.mark.outside("7 CFR 201.46, Table 1: bean, field: 500 g for purity")
@pytest.mark.parametrize(("grams", "says"), [("500.0", ()), ("499.6", ("499.6 g were worked; at least 500 g",))])
def test_a_portion_under_the_least_is_said(grams, says):
    drawn = sampling("bags", 23, 7, worked_g=Decimal(grams))
    assert len(drawn.cautions) == len(says)
    assert all(part in line for part, line in zip(says, drawn.cautions, strict=True))


@pytest.mark.outside("Canada Grain Regulations, C.R.C., c. 889, s. 7(2)(a): a sample of at least 1 kg")
def test_a_truck_sample_under_a_kilogram_is_said():
    assert "900 g were drawn; at least 1000 g" in sampling("truck", 1, 8, drawn_g=Decimal(900)).cautions[0]
