"""What must hold of standing whatever happens."""

from dataclasses import replace

from hypothesis import assume, given
from hypothesis import strategies as st

from registry.methods.facts import PRODUCTION_CAUSES, ReleaseFacts
from registry.methods.policy import FIRST_POLICY
from registry.methods.standing import decide
from tests.methods.random_releases import bases, claims, members, releases, verdicts
from tests.methods.small_release import SmallRelease, verified_pair

KINDS = ("variants", "claims", "votes", "examples", "photos", "marks", "disputes")


@given(releases(), st.randoms(use_true_random=False))
def test_the_order_of_the_facts_never_matters(release, random):
    shuffled = {
        kind: tuple(random.sample(getattr(release.facts, kind), len(getattr(release.facts, kind))))
        for kind in KINDS
    }
    assert decide(replace(release.facts, **shuffled), FIRST_POLICY) == release.decide()


ballots = st.lists(
    st.tuples(st.sampled_from(["a_wheels", "b_wheels", "b_cause"]), members, verdicts, bases),
    max_size=15,
    unique_by=lambda ballot: ballot[:2],
)


@given(ballots, st.randoms(use_true_random=False), st.sets(st.tuples(members, members), max_size=2))
def test_the_order_in_which_reviewers_vote_never_matters(ballots, random, links):
    outcomes = []
    for order in (ballots, random.sample(ballots, len(ballots))):
        release = verified_pair().set(votes=(), eligible_reviewers=4)
        release.set(links=frozenset(frozenset(pair) for pair in links))
        for claim, by, verdict, basis in order:
            release.vote(claim, by, verdict, basis, moderator=by == "mod")
        outcomes.append(release.decide())
    assert outcomes[0] == outcomes[1]


@given(releases(), claims, members, bases)
def test_a_cannot_tell_never_moves_anything(release, claim, by, basis):
    assume((claim, by) not in {(vote.claim, vote.by) for vote in release.facts.votes})
    before = release.decide()
    release.vote(claim, by, "cannot_tell", basis)
    assert release.decide() == before


@given(releases(), claims, members, verdicts, bases)
def test_withdrawing_a_vote_restores_the_earlier_standing(release, claim, by, verdict, basis):
    assume((claim, by) not in {(vote.claim, vote.by) for vote in release.facts.votes})
    before = release.decide()
    release.vote(claim, by, verdict, basis, moderator=by == "mod")
    release.withdraw(claim, by)
    assert release.decide() == before


@given(releases(), st.sampled_from(["a_wheels", "b_wheels", "b_cause"]), bases)
def test_a_vote_of_one_more_reviewer_moves_the_posterior_its_own_way_only(release, claim, basis):
    before = release.decide().claims[claim].posterior
    release.vote(claim, "newcomer", "confirms", basis)
    assert release.decide().claims[claim].posterior >= before
    release.vote(claim, "newcomer", "contradicts", basis)
    assert release.decide().claims[claim].posterior <= before


@given(releases())
def test_examples_of_one_owner_never_verify(release):
    release.set(examples=tuple(replace(example, owner="ada") for example in release.facts.examples))
    assert "verified" not in words(release)


@given(releases())
def test_examples_of_linked_owners_never_verify(release):
    owners = {example.owner for example in release.facts.examples if example.owner}
    release.set(links=frozenset(frozenset(("hub", owner)) for owner in owners))
    assert "verified" not in words(release)


@given(releases())
def test_examples_of_one_case_never_verify(release):
    release.set(examples=tuple(replace(example, case="C-0117") for example in release.facts.examples))
    assert "verified" not in words(release)


@given(releases())
def test_an_alterable_claim_is_never_confirmed_without_sealed_proof_or_three_loose(release):
    standings = release.decide().claims
    for claim in release.facts.claims:
        if claim.alterable and standings[claim.id].standing == "confirmed":
            assert is_sealed(release.facts, claim.id) or (
                may_do_without(release.facts, claim) and loose_owners(release.facts, claim.id) >= 3
            )


@given(
    releases(),
    st.sampled_from(["black", "gold", "silver"]),
    st.booleans(),
    st.sampled_from(["altered", "parallel"]),
)
def test_a_new_provisional_sibling_never_changes_another_variant(release, state, is_shown, cause):
    before = release.decide()
    release.variant("c", cause=cause)
    release.difference("c_wheels", "c", "wheels", state)
    release.vote("c_wheels", "rut")
    if is_shown and release.facts.examples:
        release.shown("c_wheels", on=release.facts.examples[0].id)
    after = release.decide()
    assert after.variants.pop("c").standing == "provisional"
    assert after.variants == before.variants
    assert {name: after.claims[name] for name in before.claims} == before.claims


@given(releases())
def test_a_confirmed_cause_other_than_production_or_baseline_always_sets_apart(release):
    answer = release.decide()
    for claim in release.facts.claims:
        if (
            claim.is_cause
            and claim.is_open
            and claim.rival_in is None
            and answer.claims[claim.id].standing == "confirmed"
        ):
            is_production = claim.state in PRODUCTION_CAUSES | {"baseline"}
            variant = answer.variants[claim.variant].standing
            assert is_production or variant in ("set_apart", "struck", "merged")
            assert not is_production or variant != "set_apart"


@given(releases())
def test_nothing_is_missing_exactly_where_nothing_more_is_wanted(release):
    answer = release.decide()
    for variant in answer.variants.values():
        assert (variant.missing == ()) == (variant.standing not in ("provisional", "contested"))
        assert len(set(variant.missing)) == len(variant.missing)
    for claim in release.facts.claims:
        standing = answer.claims[claim.id]
        assert 0 <= standing.posterior <= 1
        assert standing.standing != "confirmed" or standing.missing == ()
        assert standing.standing != "disputed" or not claim.is_open or standing.missing


@given(releases())
def test_a_contested_variant_would_stand_without_the_disputes_of_what_it_rests_on(release):
    before = release.decide().variants
    for variant in [name for name, standing in before.items() if standing.standing == "contested"]:
        resting = {
            c.id for c in release.facts.claims if c.variant == variant and (c.is_difference or c.is_cause)
        }
        gone = {d.rival for d in release.facts.disputes if d.claim in resting and d.is_open}
        calm = replace(
            release.facts,
            disputes=tuple(d for d in release.facts.disputes if d.rival not in gone),
            claims=tuple(c for c in release.facts.claims if c.id not in gone),
        )
        assert decide(calm, FIRST_POLICY).variants[variant].standing in ("verified", "set_apart")


def words(release: SmallRelease) -> set[str]:
    return {variant.standing for variant in release.decide().variants.values()}


def shown_on(facts: ReleaseFacts, claim: str) -> list:
    live = {photo.id for photo in facts.photos if not photo.down}
    marked = {mark.example for mark in facts.marks if mark.claim == claim and mark.photo in live}
    return [example for example in facts.examples if example.id in marked]


def views_of(facts: ReleaseFacts, example: str) -> set[str]:
    return {
        view for photo in facts.photos if not photo.down and example in photo.examples for view in photo.views
    }


def is_sealed(facts: ReleaseFacts, claim: str) -> bool:
    return any(
        example.condition == "sealed" and "seal_all_round" in views_of(facts, example.id)
        for example in shown_on(facts, claim)
    )


def may_do_without(facts: ReleaseFacts, claim) -> bool:
    return not claim.seen_in_pack or not facts.clear_sealed_pack or facts.sealed_unobtainable


def loose_owners(facts: ReleaseFacts, claim: str) -> int:
    """Owners of fit loose examples, counted without regard to links: an upper bound."""
    fit = [
        example
        for example in shown_on(facts, claim)
        if example.condition == "loose" and {"rivets", "axles"} <= views_of(facts, example.id)
    ]
    return len({example.owner for example in fit if example.owner})
