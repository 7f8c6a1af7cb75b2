"""What a vote is on, and what it names: a claim or a statement that still stands, an own example, a state seen."""

import pytest

from registry import actions
from registry.actions.correct import correct
from registry.errors import AlreadyClosed, BaseRevisionStale, IdentityMoved, InvalidField, OwnSubmission
from registry.models import Claim, Dispute, Variant, Vote
from tests.factories import ExampleFactory, MemberFactory, StateFactory
from tests.path import Scene, claim_on, now

from .watching import refused

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene():
    return Scene()


@pytest.fixture
def claim(scene):
    return claim_on(scene.report(scene.anchor, scene.red), scene.crest)


def cast(claim, by, verdict="confirms", basis="photo", **said):
    return actions.cast_vote(claim=claim, by=by, at=now(), verdict=verdict, basis=basis, **said)


def own_example(scene, member):
    """An example of the member, in a new photo for all to see."""
    example = scene.example(owner=member)
    scene.photo(example, added_at=now())
    return example


# What is voted on -------------------------------------------------------------------------------------------------


def test_T44_a_claim_that_was_corrected_meanwhile_takes_no_vote(scene, claim):
    Claim.objects.filter(pk=claim.pk).update(closed_at=now())
    with refused(AlreadyClosed, says=["Reload"]) as caught:
        cast(claim, scene.reviewers[0], base_revision=1)
    assert caught.value.code == "already-closed"


def test_T44_an_unrelated_newer_revision_is_no_bar(scene, claim):
    content = {"claims": [{"trait": scene.wheels.public_id, "state": scene.black.public_id}]}
    draft = actions.start_draft(by=MemberFactory(), at=now(), variant=claim.variant, content=content)
    actions.send_submission(submission=draft, by=draft.author, at=now())
    assert cast(claim, scene.reviewers[0], base_revision=1).base_revision == 1


def test_T44_a_claim_that_a_newer_revision_has_replaced_is_stale(scene, claim):
    dispute = actions.open_dispute(
        claim=claim, state=scene.gull, by=MemberFactory(), reason="Gull.", at=now()
    )
    correct(dispute=dispute, at=now())
    with refused(BaseRevisionStale, field="base_revision", says=["Reload"]) as caught:
        cast(claim, scene.reviewers[0], base_revision=1)
    assert caught.value.code == "base-revision-stale"
    with refused(BaseRevisionStale, field="base_revision"):
        cast(dispute.rival, scene.reviewers[0], base_revision=1)
    assert cast(dispute.rival, scene.reviewers[0], base_revision=2).base_revision == 2


def test_T44_a_revision_that_is_still_to_come_is_refused(scene, claim):
    with refused(InvalidField, field="base_revision", says=["2", "newest revision is 1"]):
        cast(claim, scene.reviewers[0], base_revision=2)


def test_a_claim_of_a_variant_that_is_gone_takes_no_vote(scene, claim):
    Variant.objects.filter(pk=claim.variant_id).update(standing="struck")
    with refused(IdentityMoved, field="claim"):
        cast(claim, scene.reviewers[0])


def test_a_vote_cannot_be_withdrawn_from_a_closed_claim(scene, claim):
    cast(claim, scene.reviewers[0])
    Claim.objects.filter(pk=claim.pk).update(closed_at=now())
    with refused(AlreadyClosed):
        actions.withdraw_vote(claim=claim, by=scene.reviewers[0], at=now())


# What a vote names ------------------------------------------------------------------------------------------------


def test_an_example_of_another_release_is_refused(scene, claim):
    example = ExampleFactory(owner=scene.reviewers[0])
    with refused(InvalidField, field="example", says=[example.public_id, scene.release.name]):
        cast(claim, scene.reviewers[0], example=example)


def test_an_example_of_another_member_is_not_ones_own(scene, claim):
    example = scene.example()
    with refused(InvalidField, field="example", says=["your own"]):
        cast(claim, scene.reviewers[0], basis="own_sealed", example=example)


@pytest.mark.parametrize(("condition", "basis"), [("loose", "own_sealed"), ("sealed", "own_loose")])
def test_the_basis_must_fit_the_condition_of_the_example(scene, claim, condition, basis):
    example = scene.example(owner=scene.reviewers[0], condition=condition)
    with refused(InvalidField, field="basis", says=[condition]):
        cast(claim, scene.reviewers[0], basis=basis, example=example)


def test_two_owners_of_pictured_examples_are_enough(scene, claim):
    scene.show(claim.variant)
    for reviewer in scene.reviewers[:2]:
        cast(claim, reviewer, basis="own_sealed", example=own_example(scene, reviewer))
    assert Claim.objects.get(pk=claim.pk).standing == "confirmed"


def test_a_state_is_seen_only_when_contradicting(scene, claim):
    with refused(InvalidField, field="state_seen", says=["gull", "contradict"]):
        cast(claim, scene.reviewers[0], state_seen=scene.gull)


def test_the_state_seen_is_one_of_the_trait(scene, claim):
    with refused(InvalidField, field="state_seen", says=["blue"]):
        cast(claim, scene.reviewers[0], verdict="contradicts", state_seen=scene.blue)


def test_the_state_seen_is_not_the_one_contradicted(scene, claim):
    twin = StateFactory(trait=scene.crest, acceptance="merged", merged_into=scene.anchor)
    for state in (scene.anchor, twin):
        with refused(InvalidField, field="state_seen", says=["instead"]):
            cast(claim, scene.reviewers[0], verdict="contradicts", state_seen=state)


# Statements of order ----------------------------------------------------------------------------------------------


@pytest.fixture
def statement(scene):
    base = scene.report(scene.anchor)
    return actions.make_statement(
        by=scene.author, at=now(), release=scene.release, kind="before", variant=base,
        other=scene.report(scene.gull, base=base), source_kind="dated_sighting", source="a receipt",
    )  # fmt: skip


def test_a_statement_is_voted_on_like_a_claim(scene, statement):
    said = {"statement": statement, "by": scene.reviewers[0]}
    vote = actions.cast_vote(**said, at=now(), verdict="contradicts", basis="photo")
    assert (vote.statement, vote.claim) == (statement, None)
    actions.withdraw_vote(**said, at=now())
    assert not Vote.objects.current().exists()


def test_T02_nobody_votes_on_their_own_statement(scene, statement):
    with refused(OwnSubmission):
        actions.cast_vote(statement=statement, by=scene.author, at=now(), verdict="confirms", basis="photo")


def test_no_state_is_seen_of_a_statement(scene, statement):
    with refused(InvalidField, field="state_seen"):
        actions.cast_vote(
            statement=statement, by=scene.reviewers[0], at=now(), verdict="contradicts", basis="photo",
            state_seen=scene.gull,
        )  # fmt: skip


def test_a_statement_taken_back_takes_no_vote(scene, statement):
    actions.close_statement(statement=statement, by=scene.author, at=now())
    with refused(AlreadyClosed):
        actions.cast_vote(
            statement=statement, by=scene.reviewers[0], at=now(), verdict="confirms", basis="photo"
        )
    assert Dispute.objects.count() == 0
