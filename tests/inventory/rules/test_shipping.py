"""What may leave."""

import pytest

from inventory.rules.shipping import promise_notes, treated_mistakes


@pytest.mark.parametrize("purpose", ["food", "feed", "canning"])
def test_treated_seed_is_never_eaten(purpose):
    said = treated_mistakes([("24-0001-5", True), ("24-0002-8", False)], purpose)
    assert [mistake.says for mistake in said] == [
        f"24-0001-5 is treated seed, or was made from it: it never leaves for {purpose}. "
        "Ship it as seed, or choose a lot that was not treated."
    ]


@pytest.mark.parametrize("purpose", ["seed", "trial"])
def test_treated_seed_is_sown(purpose):
    assert treated_mistakes([("24-0001-5", True)], purpose) == []


def test_a_promise_is_noted_only_where_the_rest_does_not_cover_it():
    assert promise_notes("24-0001-5", 600, [("A", 400), ("B", 200)]) == []
    said = promise_notes("24-0001-5", 599_000_000, [("A", 400_000_000), ("B", 200_000_000)])
    assert said[0].says == "600.0 kg of 24-0001-5 are promised to A and B; 599.0 would be left."
