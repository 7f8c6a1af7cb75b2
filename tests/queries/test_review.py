"""The review queue: what is undecided, never one's own, never voted on already; first what a vote settles most."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from registry import actions
from registry.errors import OwnSubmission
from registry.methods.queueing import FEW_NEEDED
from registry.models import Claim, FitRate, Variant
from registry.queries import review
from registry.queries.review import next_for, queue
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


def test_it_holds_undecided_claims_of_one_urgency_the_oldest_first(scene, base):
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
    assert waiting(ReviewerFactory()) == [opened.rival, opened.claim]  # votes on the rival end it


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


def first_for(member):
    claim, because = next_for(member, queue(member))[0]
    return claim, because


def test_first_comes_what_one_more_vote_may_settle(scene, base):
    scene.show(base)
    claim = claim_on(base, scene.stripe)  # younger than the crest, and two votes nearer to an answer
    scene.vote(claim, voters=2)
    assert waiting(scene.reviewers[4])[0] == claim
    assert first_for(scene.reviewers[4]) == (claim, "This is next because your vote may well settle it.")


def test_what_lacks_a_mark_comes_after_what_only_lacks_votes(scene, base):
    crest, stripe = claim_on(base, scene.crest), claim_on(base, scene.stripe)
    example = scene.example()
    scene.mark(stripe, scene.photo(example), example)
    for claim in (crest, stripe):
        scene.vote(claim, voters=2)
    stripe.refresh_from_db()
    assert stripe.needs_only_votes
    assert waiting(scene.reviewers[4]) == [stripe, crest]


def test_what_would_verify_its_variant_comes_first(scene, base):
    scene.show(base)
    scene.show(base)
    other = scene.report(scene.gull, scene.blue, base=base, cause="parallel")
    scene.show(other)
    scene.show(other)
    scene.vote(claim_on(base, scene.crest), voters=3)
    scene.vote(claim_on(base, scene.stripe), voters=2)
    scene.vote(claim_on(other, scene.crest), voters=2)
    claim, because = first_for(scene.reviewers[4])
    assert claim == claim_on(base, scene.stripe)
    assert because.endswith("and the variant then lacks nothing more.")


def test_an_owner_with_a_photo_is_offered_what_they_own_and_told_so(scene, base):
    scene.show(base)
    owner, claim = scene.reviewers[4], claim_on(base, scene.stripe)
    mine, theirs = scene.example(owner=owner), scene.example(owner=scene.reviewers[0])
    scene.photo(theirs)
    actions.cast_vote(
        claim=claim, by=scene.reviewers[0], at=now(), verdict="confirms", basis="own_sealed", example=theirs
    )
    assert "as you own one" not in first_for(owner)[1]
    scene.photo(mine)
    assert first_for(owner) == (claim, "This is next because your vote may well settle it, as you own one.")


def test_what_only_founding_mode_had_decided_comes_first_once_it_has_ended(scene):
    for reviewer in scene.reviewers[3:]:
        reviewer.role_grants.all().delete()
    base = scene.report(scene.anchor, scene.red)
    scene.show(base)
    crest, stripe = claim_on(base, scene.crest), claim_on(base, scene.stripe)
    scene.vote(crest, voters=1)
    actions.cast_vote(claim=crest, by=scene.moderator, at=now(), verdict="confirms", basis="photo")
    crest.refresh_from_db()
    assert (crest.standing, crest.is_founding) == ("confirmed", True)
    scene.vote(stripe, voters=1)
    newcomers = [ReviewerFactory() for _ in range(4)]
    actions.settle_release(release=scene.release, at=now())
    assert waiting(newcomers[0]) == [crest, stripe]
    assert "founding rules" in first_for(newcomers[0])[1]
    actions.settle_release(release=scene.release, at=now())
    assert waiting(newcomers[0]) == [crest, stripe]
    actions.cast_vote(claim=crest, by=newcomers[0], at=now(), verdict="confirms", basis="photo")
    crest.refresh_from_db()
    assert (crest.standing, crest.urgency) == ("confirmed", 0)


def test_only_so_many_are_put_in_order_however_many_wait(scene, base, monkeypatch):
    monkeypatch.setattr(review, "FIRST", 1)
    member = scene.reviewers[0]
    assert [claim for claim, _ in next_for(member, queue(member))] == waiting(member)[:1]


@pytest.mark.skipif(connection.vendor != "sqlite", reason="PostgreSQL reads tables this small as a whole")
def test_the_first_are_read_by_the_index_of_the_queue_without_sorting(scene, base):
    plan = queue(scene.reviewers[0])[: review.FIRST].explain()
    assert "USING INDEX claim_queue" in plan
    assert "TEMP B-TREE" not in plan


def test_a_reviewers_own_rates_say_what_a_vote_of_theirs_may_settle(scene, base):
    scene.show(base)
    claim, reviewer = claim_on(base, scene.stripe), scene.reviewers[5]
    scene.vote(claim, voters=2)
    fit = actions.make_fit(at=now())
    actions.adopt_fit(fit=fit, reason="Learnt.", at=now())
    with CaptureQueriesContext(connection) as before:
        assert "few votes are still needed" not in first_for(reviewer)[1]
    told = {"sensitivity": 500_000, "specificity": 500_000, "votes": 9}  # a vote of theirs would tell nothing
    FitRate(fit=fit, member=reviewer, kind=scene.stripe.kind, in_hand=False, **told).save()
    with CaptureQueriesContext(connection) as after:
        assert first_for(reviewer)[1] == FEW_NEEDED
    assert len(after) == len(before)
