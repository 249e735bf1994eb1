"""Who may do what."""

import pytest

from inventory.rules.roles import NOT_FOR_RECORDS, ROLES, VERBS, WHO_MAY, MayNot, may, who_may


@pytest.mark.parametrize(
    ("role", "verbs"),
    [
        ("intake", "receive bag ship return moisture move count label reverse split dry hold"),
        ("line", "clean size sort dry treat blend split move bag hold"),
        ("bench", "sample test measure grade hold"),
        ("breeder", "origin sow hold lift promise decide release test"),
        ("records", "reverse adjust reassign load unload rules lift origin receive clean sample"),
    ],
)
def test_each_role_may_do_its_work(role, verbs):
    assert [verb for verb in verbs.split() if not may(role, verb)] == []


@pytest.mark.parametrize(
    ("role", "verbs"),
    [
        ("intake", "clean grade lift decide adjust reassign load rules sow"),
        ("line", "receive ship lift reverse grade adjust"),
        ("bench", "receive clean lift ship reverse decide"),
        ("breeder", "receive clean grade reverse adjust rules unload"),
        ("records", "decide release"),
        ("stranger", " ".join(verb for verb in VERBS if " " not in verb)),
        ("", "receive"),
    ],
)
def test_no_role_does_another_ones_work(role, verbs):
    assert [verb for verb in verbs.split() if may(role, verb)] == []


def test_only_breeder_or_records_lifts_a_hold():
    assert who_may("lift") == ("breeder", "records")


def test_records_may_do_all_but_decide():
    assert {verb for verb in VERBS if not may("records", verb)} == set(NOT_FOR_RECORDS)


def test_everything_can_be_done_by_someone_known():
    assert all(who_may(verb) for verb in VERBS)
    assert {role for _, roles in WHO_MAY.values() for role in roles} <= set(ROLES)


def test_an_unknown_act_is_the_programs_fault_and_not_the_persons():
    with pytest.raises(KeyError):
        may("records", "fly")


def test_a_refusal_says_who_may():
    assert MayNot("line", "lift").says == "line may not lift a hold; breeder or records may. Ask there."
