"""Decisions of the guards on plain numbers."""

from datetime import UTC, datetime, timedelta

import pytest

from registry.methods import guards

NOON = datetime(2026, 6, 1, 12, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    ("roles", "confirmed", "word"),
    [((), False, "new"), ((), True, "known"), (("reviewer",), False, "reviewer"),
     (("reviewer", "moderator"), False, "moderator")],
)  # fmt: skip
def test_what_an_account_may_be_trusted_with(roles, confirmed, word):
    assert guards.standing_of(frozenset(roles), confirmed) == word


@pytest.mark.parametrize("kind", guards.QUOTAS)
def test_each_step_of_trust_may_send_more(kind):
    new, known, reviewer = (guards.quota(kind, account) for account in ("new", "known", "reviewer"))
    assert new < known < reviewer
    assert guards.quota(kind, "moderator") is None
    assert guards.quota(kind, "new", factor=3) == 3 * new


def test_one_may_send_again_a_day_after_the_oldest_that_fills_the_quota():
    sent = [NOON - timedelta(hours=hours) for hours in (1, 5, 20)]
    assert guards.free_again_at(sent, 3) == NOON + timedelta(hours=4)
    assert guards.free_again_at(sent, 2) == NOON + timedelta(hours=19)
    assert guards.free_again_at(sent, 4) is None


def test_a_surge_is_many_votes_within_minutes_and_began_with_the_first_of_them():
    rush = [NOON - timedelta(seconds=n) for n in range(guards.SURGE_VOTES)]
    old = [NOON - timedelta(hours=1)] * 100
    found = guards.surge(old + rush, NOON)
    assert found
    assert found.began_at == min(rush)
    assert guards.surge(old + rush[1:], NOON) is None
    assert guards.is_outside_surge(min(rush) - timedelta(seconds=1), min(rush))
    assert not guards.is_outside_surge(min(rush), min(rush))


def test_every_twentieth_question_is_a_control():
    turns = [n for n in range(100) if guards.is_control_turn(n, 27)]
    assert turns == [7, 27, 47, 67, 87]
