"""The review queue: what is undecided, never one's own, never voted on already; the oldest first."""

import pytest

from registry import actions
from registry.errors import OwnSubmission
from registry.models import Claim, Variant
from registry.queries.review import queue
from tests.factories import MemberFactory, PhotoFactory, ReviewerFactory
from tests.path import Scene, claim_on, now

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene():
    return Scene()


@pytest.fixture
def base(scene):
    return scene.report(scene.anchor, scene.red)


def waiting(member):
    return list(queue(member))


def dispute(scene, claim, state, by):
    return actions.open_dispute(claim=claim, state=state, by=by, reason="Another.", at=now())


def test_it_holds_undecided_claims_the_oldest_first(scene, base):
    other = scene.report(scene.gull, base=base, cause="parallel")
    expected = Claim.objects.exclude(state__key="baseline").order_by("opened_at", "pk")
    assert waiting(scene.reviewers[0]) == list(expected)
    assert {claim.variant for claim in expected} == {base, other}


def test_the_systems_own_baseline_waits_for_nobody(scene, base):
    assert "baseline" not in {claim.state.key for claim in waiting(scene.reviewers[0])}


def test_what_is_decided_waits_no_more(scene, base):
    scene.verify(base)
    assert waiting(ReviewerFactory()) == []


def test_ones_own_claims_are_not_in_it(scene, base):
    assert waiting(scene.author) == []


def test_claims_of_a_report_with_ones_photo_are_not_in_it(scene, base):
    member = scene.reviewers[0]
    PhotoFactory(submission=base.submissions.get(), owner=member)
    assert waiting(member) == []


def test_what_one_voted_on_is_not_in_it_until_the_vote_is_taken_back(scene, base):
    claim, member = claim_on(base, scene.crest), scene.reviewers[0]
    actions.cast_vote(claim=claim, by=member, at=now(), verdict="cannot_tell", basis="photo")
    assert claim not in waiting(member)
    actions.withdraw_vote(claim=claim, by=member, at=now())
    assert claim in waiting(member)


def test_both_sides_of_a_dispute_are_in_it(scene, base):
    scene.verify(base)
    opened = dispute(scene, claim_on(base, scene.crest), scene.gull, scene.reviewers[5])
    scene.photo(scene.example(), dispute=opened)
    actions.settle_release(release=scene.release, at=now())
    assert waiting(ReviewerFactory()) == [opened.claim, opened.rival]


def test_a_rival_is_not_in_the_queue_of_who_may_not_vote_on_it(scene, base):
    opener, pictured, photographer = MemberFactory(), MemberFactory(), MemberFactory()
    PhotoFactory(submission=base.submissions.get(), owner=pictured)
    opened = dispute(scene, claim_on(base, scene.crest), scene.gull, opener)
    scene.photo(scene.example(owner=photographer), dispute=opened)
    for member in (opener, pictured, photographer, scene.author):
        assert opened.rival not in waiting(member)
        with pytest.raises(OwnSubmission):
            actions.cast_vote(claim=opened.rival, by=member, at=now(), verdict="confirms", basis="photo")


def test_a_corrected_claim_is_not_in_the_queue_of_the_author_of_the_old_one(scene, base):
    opened = dispute(scene, claim_on(base, scene.crest), scene.gull, MemberFactory())
    example = scene.example()
    scene.mark(opened.rival, scene.photo(example), example)
    scene.vote(opened.rival, voters=4)
    scene.vote(opened.rival, verdict="contradicts", voters=2)
    corrected = claim_on(base, scene.crest)
    assert (corrected.pk, corrected.standing) == (opened.rival_id, "open")
    assert corrected not in waiting(scene.author)
    assert corrected in waiting(ReviewerFactory())


def test_everything_in_it_may_be_voted_on(scene, base):
    scene.report(scene.gull, base=base, by=scene.reviewers[1], cause="parallel")
    dispute(scene, claim_on(base, scene.stripe), scene.blue, scene.reviewers[0])
    for member in (scene.reviewers[0], scene.reviewers[1], scene.author):
        for claim in waiting(member):
            vote = actions.cast_vote(claim=claim, by=member, at=now(), verdict="cannot_tell", basis="photo")
            assert vote.is_current
        assert waiting(member) == []


def test_variants_that_are_gone_and_claims_that_ended_are_not_in_it(scene, base):
    Claim.objects.filter(trait=scene.crest).update(closed_at=now())
    assert waiting(scene.reviewers[0]) == [claim_on(base, scene.stripe)]
    Variant.objects.filter(pk=base.pk).update(standing="struck")
    assert waiting(scene.reviewers[0]) == []
