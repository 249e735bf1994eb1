"""Posts: readings on rules that end at 1.25 of their limits."""

from decimal import Decimal

from inventory.drawing.post import POST_X, WIDTH, Judged, posts


def judged(name: str, reading: str, limit: str | None, **more: object) -> Judged:
    return Judged(name, Decimal(reading), None if limit is None else Decimal(limit), reading, **more)


def test_the_nearest_to_its_limit_comes_first_and_what_has_none_last() -> None:
    drawn = posts([judged("stones", "0.02", "0.2"), judged("moisture", "14", None), judged("total", "1.84", "2.0")])
    assert [post.judged.name for post in drawn] == ["total", "stones", "moisture"]


def test_a_reading_at_its_limit_stands_on_the_post_and_is_within() -> None:
    (post,) = posts([judged("total", "2.00", "2.0")])
    assert (post.dot_x, post.is_met, post.is_beyond) == (POST_X, True, False)


def test_a_reading_beyond_the_rule_is_an_arrow_at_its_end() -> None:
    (post,) = posts([judged("contrasting", "3.0", "0.5", low=Decimal("2.5"), high=Decimal("3.6"))])
    assert (post.dot_x, post.is_beyond, post.is_met, post.line_width) == (WIDTH, True, False, 0.0)


def test_a_likely_range_is_cut_at_the_end_of_the_rule() -> None:
    (post,) = posts([judged("total", "2.0", "2.0", low=Decimal("1.5"), high=Decimal("3.0"))])
    assert (post.line_x, post.line_x + post.line_width) == (300, WIDTH)


def test_germination_is_judged_from_the_other_side() -> None:
    good, poor = judged("a", "92", "85", is_least=True), judged("b", "79", "85", is_least=True)
    drawn = posts([good, poor])
    assert [(post.judged.name, post.is_met) for post in drawn] == [("b", False), ("a", True)]
