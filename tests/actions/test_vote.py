"""Votes on claims: who may cast them, what they may say, and what changing or withdrawing them does."""

from unittest.mock import patch

import pytest
from django.db import connection

from registry import actions
from registry.errors import InvalidField, NotFound, OwnSubmission
from registry.models import Claim, Example, Vote, own_votes
from tests.factories import NOON, MemberFactory, PhotoFactory, VoteFactory
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


def posterior(claim):
    return Claim.objects.get(pk=claim.pk).posterior


def own_example(scene, member, **found):
    """An example of the member, in a new photo for all to see."""
    example = scene.example(owner=member, **found)
    scene.photo(example, added_at=now())
    return example


def test_a_vote_of_a_reviewer_counts_and_one_of_another_member_is_only_kept(scene, claim):
    assert cast(claim, scene.reviewers[0]).counts
    assert not cast(claim, MemberFactory()).counts
    assert Claim.objects.get(pk=claim.pk).votes_counted == 1


def test_a_moderators_vote_is_marked_as_one(scene, claim):
    assert cast(claim, scene.moderator).by_moderator
    assert not cast(claim, scene.reviewers[0]).by_moderator


def test_a_vote_cast_as_a_reviewer_counts_after_the_role_is_gone(scene, claim):
    cast(claim, scene.reviewers[0])
    actions.revoke_role(
        member=scene.reviewers[0], role="reviewer", by=scene.moderator, at=now(), reason="Away."
    )
    assert Claim.objects.get(pk=claim.pk).votes_counted == 1


def test_a_changed_vote_keeps_the_earlier_one(scene, claim):
    first = cast(claim, scene.reviewers[0])
    second = cast(claim, scene.reviewers[0], verdict="contradicts", state_seen=scene.gull)
    first.refresh_from_db()
    assert (first.is_current, first.ended_at) == (False, second.at)
    assert list(Vote.objects.current()) == [second]
    assert posterior(claim) < 0.5


def test_T40_the_same_vote_sent_again_is_the_one_that_is_there(scene, claim):
    first = cast(claim, scene.reviewers[0], note="crest sharp")
    assert cast(claim, scene.reviewers[0], note="crest sharp") == first
    assert Vote.objects.count() == 1


def test_the_same_vote_after_another_one_is_cast_anew(scene, claim):
    rival = actions.open_dispute(
        claim=claim, state=scene.gull, by=MemberFactory(), reason="A gull.", at=now()
    ).rival
    cast(claim, scene.reviewers[0])
    cast(rival, scene.reviewers[0])
    assert posterior(claim) == pytest.approx(0.2)
    cast(claim, scene.reviewers[0])
    assert posterior(claim) == pytest.approx(0.8)


def test_a_vote_cast_before_the_role_was_granted_counts_once_it_is_sent_again(scene, claim):
    member = MemberFactory()
    cast(claim, member)
    actions.grant_role(member=member, role="reviewer", by=scene.moderator, at=now())
    assert cast(claim, member).counts


def test_a_withdrawn_vote_restores_the_earlier_standing_and_is_kept(scene, claim):
    cast(claim, scene.reviewers[0])
    before = posterior(claim)
    cast(claim, scene.reviewers[1])
    actions.withdraw_vote(claim=claim, by=scene.reviewers[1], at=now())
    assert posterior(claim) == before
    assert Vote.objects.get(by=scene.reviewers[1]).ended_at is not None


def test_a_vote_that_is_not_there_cannot_be_withdrawn(scene, claim):
    with refused(NotFound, says=["no vote"]):
        actions.withdraw_vote(claim=claim, by=scene.reviewers[0], at=now())


def test_one_vote_is_on_exactly_one_thing(scene):
    with refused(InvalidField, field="claim", says=["exactly one"]):
        actions.cast_vote(by=scene.reviewers[0], at=now(), verdict="confirms", basis="photo")


def test_votes_cast_together_are_settled_once_and_come_to_what_single_ones_do(scene, claim):
    other = claim_on(claim.variant, scene.stripe)
    opinions = [{"claim": one, "verdict": "confirms", "basis": "photo"} for one in (claim, other)]
    with patch("registry.actions.vote.settle_release", wraps=actions.settle_release) as settled:
        actions.cast_votes(by=scene.reviewers[0], at=now(), opinions=opinions)
    assert settled.call_count == 1
    together = [(one.votes_counted, posterior(one)) for one in Claim.objects.filter(variant=claim.variant)]
    for one in (claim, other):
        actions.withdraw_vote(claim=one, by=scene.reviewers[0], at=now())
        cast(one, scene.reviewers[0])
    assert together == [
        (one.votes_counted, posterior(one)) for one in Claim.objects.filter(variant=claim.variant)
    ]


def test_votes_cast_together_are_all_kept_or_none(scene, claim):
    fine = {"claim": claim, "verdict": "confirms", "basis": "photo"}
    with refused(InvalidField, field="verdict"):
        actions.cast_votes(by=scene.reviewers[0], at=now(), opinions=[fine, fine | {"verdict": "maybe"}])
    another = Scene()
    elsewhere = claim_on(another.report(another.anchor), another.crest)
    for opinions in ([], [fine, fine | {"claim": elsewhere}]):
        with refused(InvalidField, field="opinions", says=["one release at a time"]):
            actions.cast_votes(by=scene.reviewers[0], at=now(), opinions=opinions)
    assert not Vote.objects.exists()


@pytest.mark.parametrize(
    ("said", "field"),
    [({"verdict": "maybe"}, "verdict"), ({"verdict": None}, "verdict"), ({"basis": "hearsay"}, "basis"),
     ({"basis": ["photo"]}, "basis"), ({"base_revision": 0}, "base_revision"),
     ({"base_revision": "1"}, "base_revision"), ({"note": "a\x00"}, "note"), ({"note": "x" * 301}, "note")],
)  # fmt: skip
def test_a_vote_in_other_words_is_refused(scene, claim, said, field):
    with refused(InvalidField, field=field):
        cast(claim, scene.reviewers[0], **said)


# T02: nobody votes on what they brought in themselves -------------------------------------------------------------


def test_T02_the_author_of_a_claim_is_refused(scene, claim):
    with refused(OwnSubmission) as caught:
        cast(claim, scene.author)
    assert caught.value.code == "own-submission"


def test_T02_the_owner_of_a_photo_in_the_report_is_refused(scene, claim):
    owner = scene.reviewers[0]
    PhotoFactory(submission=claim.submission, owner=owner)
    with refused(OwnSubmission):
        cast(claim, owner)


def test_T02_a_moderator_who_reported_it_is_refused(scene):
    claim = claim_on(scene.report(scene.anchor, by=scene.moderator), scene.crest)
    with refused(OwnSubmission):
        cast(claim, scene.moderator)


def test_T02_who_disputes_a_claim_is_refused_on_the_rival_and_so_is_the_claims_author(scene, claim):
    opener = scene.reviewers[0]
    rival = actions.open_dispute(claim=claim, state=scene.gull, by=opener, reason="A gull.", at=now()).rival
    for member in (opener, scene.author):
        with refused(OwnSubmission):
            cast(rival, member)


def test_T02_the_owner_of_a_disputes_photo_is_refused_on_the_rival(scene, claim):
    dispute = actions.open_dispute(
        claim=claim, state=scene.gull, by=MemberFactory(), reason="A gull.", at=now()
    )
    owner = scene.reviewers[0]
    scene.photo(scene.example(owner=owner), dispute=dispute)
    with refused(OwnSubmission):
        cast(dispute.rival, owner)


def test_T02_a_vote_slipped_into_the_database_never_moves_the_standing(scene, claim):
    before = posterior(claim)
    own_votes.lift(connection)  # the trigger that refuses it: standing does not rest on that alone
    VoteFactory(claim=claim, by=scene.author, counts=True)
    actions.settle_release(release=scene.release, at=now())
    assert posterior(claim) == before


def test_T02_an_author_who_added_an_example_later_may_vote_naming_it(scene, claim):
    example = own_example(scene, scene.author, condition="loose")
    with refused(OwnSubmission):
        cast(claim, scene.author, basis="own_loose")
    assert cast(claim, scene.author, basis="own_loose", example=example).example == example


@pytest.mark.parametrize("photo", [{"taken_down_at": NOON}, {"submission__sent_at": None}])
def test_T02_an_example_that_nobody_else_can_see_is_not_enough(scene, claim, photo):
    example = scene.example(owner=scene.author)
    said = {
        "submission__sent_at": NOON,
        "owner": scene.author,
        "shows": [example],
        "added_at": now(),
        **photo,
    }
    PhotoFactory(**said)
    with refused(OwnSubmission):
        cast(claim, scene.author, basis="own_sealed", example=example)


def test_T02_an_example_of_the_report_itself_is_not_enough(scene, claim):
    example = own_example(scene, scene.author)
    PhotoFactory(submission=claim.submission, shows=[example])
    with refused(OwnSubmission):
        cast(claim, scene.author, basis="own_sealed", example=example)


def test_T02_an_example_pictured_before_the_claim_was_made_is_not_enough(scene, claim):
    example = own_example(scene, scene.author)
    PhotoFactory(submission__sent_at=NOON, shows=[example], added_at=claim.opened_at)
    with refused(OwnSubmission):
        cast(claim, scene.author, basis="own_sealed", example=example)


def test_T02_an_example_of_another_member_is_not_enough(scene, claim):
    with refused(OwnSubmission):
        cast(claim, scene.author, example=own_example_of(scene))


def own_example_of(scene) -> Example:
    return Example.objects.filter(release=scene.release).first()
