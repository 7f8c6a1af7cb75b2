"""How votes and marks are read after a merge."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.methods.facts import MarkFact, VoteFact, readdress_marks, readdress_votes, survivor


def vote(claim: str, by: str, seq: int) -> VoteFact:
    return VoteFact(claim, by, "confirms", "photo", seq=seq)


def test_a_vote_on_a_merged_claim_counts_on_its_survivor():
    assert readdress_votes([vote("old", "rut", 1)], {"old": "new"}) == (vote("new", "rut", 1),)


@pytest.mark.parametrize(("old", "new", "heard"), [(1, 2, 2), (2, 1, 2)])
def test_a_member_who_voted_on_both_keeps_the_later_vote(old, new, heard):
    votes = readdress_votes([vote("old", "rut", old), vote("new", "rut", new)], {"old": "new"})
    assert votes == (vote("new", "rut", heard),)


def test_merges_chain():
    assert survivor("one", {"one": "two", "two": "three"}) == "three"
    marks = readdress_marks([MarkFact("one", "e", "p")], {"one": "two", "two": "three"})
    assert marks == (MarkFact("three", "e", "p"),)


def test_merges_that_run_in_a_circle_are_refused():
    with pytest.raises(ValueError, match="circle"):
        survivor("one", {"one": "two", "two": "one"})


@given(
    st.lists(st.builds(vote, st.sampled_from("abc"), st.sampled_from("rs"), st.integers(0, 9)), max_size=8)
)
def test_without_merges_the_latest_vote_of_each_member_on_each_claim_is_left(votes):
    latest = {}
    for each in votes:
        latest[each.claim, each.by] = max(latest.get((each.claim, each.by), -1), each.seq)
    assert {(v.claim, v.by): v.seq for v in readdress_votes(votes, {})} == latest
