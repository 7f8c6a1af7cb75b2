"""Statements of order are decided by the tally that decides claims. Numbers: Bayes' rule by hand, photo votes 0.80."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.methods.facts import ClaimFact, ReleaseFacts, VoteFact
from registry.methods.policy import FIRST_POLICY, Rates
from registry.methods.standing import ObjectionFact, OrderFacts, StatementFact, decide, decide_statements

ORDER = StatementFact("order", author="keel")


def vote(by, verdict="confirms", seq=1, **said):
    return VoteFact("order", by, verdict, said.pop("basis", "photo"), seq=seq, **said)


def settled(*votes, disputes=(), eligible=9, links=(), statement=ORDER, **more):
    linked = frozenset(frozenset(pair) for pair in links)
    facts = OrderFacts((statement,), votes, tuple(disputes), linked, eligible)
    return decide_statements(facts, FIRST_POLICY, **more)


def standing(*votes, **said):
    return settled(*votes, **said).statements["order"]


def dispute(**said):
    return ObjectionFact("d", "order", opened_by="gale", **{"seq": 10, **said})


def test_nothing_is_known_before_anybody_voted():
    told = standing()
    assert (told.standing, told.posterior, told.counted) == ("open", 0.5, 0)
    assert told.missing == ("three more votes on this order",)


@pytest.mark.parametrize(
    ("confirms", "contradicts", "word", "odds"),
    [
        (2, 0, "open", 16),
        (3, 0, "confirmed", 64),
        (0, 3, "refuted", 1 / 64),
        (3, 1, "open", 16),
        (4, 1, "confirmed", 64),
    ],
)
def test_votes_decide_as_they_do_of_claims(confirms, contradicts, word, odds):
    votes = [vote(f"a{n}") for n in range(confirms)] + [
        vote(f"b{n}", "contradicts") for n in range(contradicts)
    ]
    told = standing(*votes)
    assert told.standing == word
    assert told.posterior == pytest.approx(odds / (1 + odds))


@given(st.lists(st.tuples(st.sampled_from(["confirms", "contradicts", "cannot_tell"]),
                          st.sampled_from(["photo", "own_loose"]), st.booleans(), st.booleans())),
       st.integers(0, 9))  # fmt: skip
def test_the_same_votes_make_the_same_of_a_cause(votes, eligible):
    """The rule for claims, which has tests of its own, is the oracle."""
    votes = [
        vote(f"m{n}", verdict, n, basis=basis, counts=counts, moderator=moderator)
        for n, (verdict, basis, counts, moderator) in enumerate(votes)
    ]
    claim = ClaimFact("order", "v", "cause", "running_change", is_cause=True)
    claims = decide(
        ReleaseFacts(claims=(claim,), votes=tuple(votes), eligible_reviewers=eligible), FIRST_POLICY
    )
    told, same = standing(*votes, eligible=eligible), claims.claims["order"]
    assert (told.standing, told.posterior, told.counted, told.founding) == (
        same.standing, same.posterior, same.counted, same.founding,
    )  # fmt: skip


def test_its_author_is_not_heard_and_linked_members_count_once():
    assert standing(vote("keel"), vote("a"), vote("b")).counted == 2
    assert standing(vote("a"), vote("b"), vote("c"), links=[("a", "b")]).counted == 2
    assert standing(vote("a"), vote("b", counts=False), vote("c", "cannot_tell")).counted == 1


def test_in_founding_mode_two_votes_do_one_of_them_a_moderators():
    told = standing(vote("a", moderator=True), vote("b"), eligible=4)
    assert (told.standing, told.founding) == ("confirmed", True)
    assert standing(eligible=4).missing == ("two more votes on this order, one of them a moderator's",)


def test_rates_of_reviewers_decide_how_much_a_vote_weighs():
    class Sure:
        def rates(self, reviewer, trait, in_hand, policy):
            return Rates(0.99, 0.99)

    assert standing(*(vote(f"m{n}") for n in range(3)), reliabilities=Sure()).posterior > 0.9999


def test_a_dispute_contests_only_with_a_photo_or_a_second_reviewer():
    agreed = [vote("a"), vote("b"), vote("c")]
    alone = settled(*agreed, disputes=[dispute()])
    assert (alone.statements["order"].standing, alone.disputes["d"].contests) == ("confirmed", False)
    for more, votes in [({"photo": True}, agreed), ({}, [*agreed, vote("e", "contradicts", 11)])]:
        told = settled(*votes, disputes=[dispute(**more)])
        assert told.statements["order"].standing == "disputed"
        assert told.statements["order"].missing[0] == "the dispute on this order to end"


def test_its_opener_and_those_linked_to_them_are_no_second_reviewer():
    for by in ("gale", "squall"):
        told = settled(vote(by, "contradicts", 11), disputes=[dispute()], links=[("gale", "squall")])
        assert not told.disputes["d"].contests


def test_a_dispute_ends_as_the_votes_say():
    against = [vote(f"m{n}", "contradicts", 11 + n) for n in range(3)]
    assert settled(*against, disputes=[dispute()]).disputes["d"].due == "corrected"
    since = [vote(f"m{n}", seq=11 + n) for n in range(3)]
    assert settled(*since, disputes=[dispute()]).disputes["d"].due == "upheld"
    assert settled(*[vote(f"m{n}") for n in range(3)], disputes=[dispute()]).disputes["d"].due is None
    assert settled(disputes=[dispute(ruling="upheld")]).disputes["d"].due == "upheld"


def test_a_dispute_that_has_ended_contests_nothing():
    told = settled(disputes=[dispute(photo=True, is_open=False)])
    assert (told.statements["order"].standing, told.disputes["d"].due) == ("open", None)


def test_nothing_is_missing_of_a_statement_taken_back():
    assert standing(statement=StatementFact("order", "keel", is_open=False)).missing == ()


def test_what_is_not_among_the_facts_is_named():
    with pytest.raises(ValueError, match="dispute d"):
        decide_statements(OrderFacts(disputes=(dispute(),)), FIRST_POLICY)
    with pytest.raises(ValueError, match="vote by a"):
        decide_statements(OrderFacts(votes=(vote("a"),)), FIRST_POLICY)
