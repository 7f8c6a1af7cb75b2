"""Several people at once where the journal tells who came first: corrections, merges, suspensions, acceptances."""

import pytest

from registry import actions
from registry.actions.correct import correct
from registry.actions.journalled import journalled
from registry.actions.settle import locked, settle_release
from registry.errors import BaseRevisionStale
from registry.models import Claim, JournalEntry, Member, Release, State, Trait, Variant, Vote
from tests.factories import (
    MemberFactory,
    ModeratorFactory,
    ReleaseFactory,
    ReviewerFactory,
    StateFactory,
    TraitFactory,
)
from tests.path import Scene, claim_on, now
from tests.racing import ROUNDS, at_once, kinds

from .bending import first_fault, reading
from .yard import as_stored

pytestmark = pytest.mark.django_db(transaction=True)


def number_of(verb: str, **about) -> int:
    """The newest line of the kind."""
    return JournalEntry.objects.filter(verb=verb, **about).latest("number").number


@journalled
def rule(dispute, release) -> None:
    """As when the votes have confirmed the rival: the claim closes, the rival takes its place in a new revision."""
    release = locked(release)
    correct(dispute=dispute, at=now())
    settle_release(release=release, at=now())


def test_T44_a_vote_on_a_claim_that_is_being_corrected_is_before_the_correction_or_stale():
    scene = Scene()
    variant = scene.report(scene.anchor)
    states = [scene.gull, scene.anchor]
    for n in range(ROUNDS):
        moderator = ModeratorFactory()  # may open again what was decided; a new one each time, or it is held
        claim, voter = claim_on(variant, scene.crest), scene.reviewers[n % 6]
        base_revision = Variant.objects.get(pk=variant.pk).revision_number
        dispute = actions.open_dispute(
            claim=claim, state=states[n % 2], by=moderator, reason="Another.", at=now()
        )
        vote, ruled = at_once([
            lambda claim=claim, by=voter, seen=base_revision: actions.cast_vote(
                claim=claim, by=by, at=now(), verdict="confirms", basis="photo", base_revision=seen
            ),
            lambda dispute=dispute: rule(dispute, scene.release),
        ])  # fmt: skip
        assert ruled is None
        cast = Vote.objects.filter(claim=claim, by=voter).exists()
        if isinstance(vote, BaseRevisionStale):
            assert vote.code == "base-revision-stale"
            assert not cast
        else:
            assert cast
            assert number_of("vote.cast") < number_of("dispute.closed")
        assert Claim.objects.get(pk=claim.pk).closed_at
    assert first_fault() is None


def test_T45_releases_merged_into_each_other_leave_one_survivor():
    moderators = [ModeratorFactory(), ModeratorFactory()]
    for _ in range(ROUNDS):
        one = ReleaseFactory()
        other = ReleaseFactory(line=one.line, casting=one.casting)
        answers = at_once([
            lambda one=one, other=other: actions.merge(thing=one, into=other, by=moderators[0], at=now()),
            lambda one=one, other=other: actions.merge(thing=other, into=one, by=moderators[1], at=now()),
        ])  # fmt: skip
        assert kinds(answers) == {"done": 1, "AlreadyClosed": 1}
        merged = Release.objects.exclude(merged_into=None).get(casting=one.casting)
        assert merged.merged_into.merged_into is None


def test_T45_traits_merged_in_a_row_lead_to_the_last_survivor():
    moderator, line = ModeratorFactory(), ReleaseFactory().line
    for _ in range(ROUNDS):
        a, b, c = (TraitFactory(line=line) for _ in range(3))
        at_once([
            lambda a=a, b=b: actions.merge(thing=a, into=b, by=moderator, at=now()),
            lambda b=b, c=c: actions.merge(thing=b, into=c, by=moderator, at=now()),
        ])  # fmt: skip
        for trait in Trait.objects.filter(pk__in=[a.pk, b.pk, c.pk]):
            assert trait.survivor.merged_into is None


def test_T47_whoever_is_suspended_meanwhile_has_voted_before_or_not_at_all():
    scene = Scene()
    claim = claim_on(scene.report(scene.anchor), scene.crest)
    for _ in range(ROUNDS):
        voter = ReviewerFactory()
        vote, _ = at_once([
            lambda by=voter: actions.cast_vote(claim=claim, by=by, at=now(), verdict="confirms", basis="photo"),
            lambda member=voter: actions.suspend(member=member, by=scene.moderator, reason="Spam.", at=now()),
        ])  # fmt: skip
        rows = Vote.objects.filter(by=voter).count()
        assert kinds([vote]) == ({"done": 1} if rows else {"AccountClosed": 1})
        if rows:
            suspended = number_of("member.suspended", about_id=voter.public_id)
            assert number_of("vote.cast", by=voter) < suspended
    assert first_fault() is None


def test_T47_a_moderator_who_loses_the_role_meanwhile_has_acted_before_or_not_at_all():
    moderator = ModeratorFactory()
    for n in range(ROUNDS):
        other = ModeratorFactory()
        named, _ = at_once([
            lambda by=other, n=n: actions.add_maker(by=by, at=now(), name=f"{'abcdefghij'[n % 10] * 6} {n * 977:06}"),
            lambda member=other: actions.revoke_role(
                member=member, role="moderator", by=moderator, at=now(), reason="Away."
            ),
        ])  # fmt: skip
        if kinds([named]) == {"done": 1}:
            revoked = number_of("role.revoked", about_id=other.public_id)
            assert number_of("maker.added", by=other) < revoked
        else:
            assert kinds([named]) == {"RoleRequired": 1}


def test_T47_moderators_who_suspend_each_other_leave_one():
    for _ in range(ROUNDS):
        one, other = ModeratorFactory(), ModeratorFactory()
        answers = at_once([
            lambda one=one, other=other: actions.suspend(member=other, by=one, reason="Spam.", at=now()),
            lambda one=one, other=other: actions.suspend(member=one, by=other, reason="Spam.", at=now()),
        ])  # fmt: skip
        assert kinds(answers) == {"done": 1, "AccountClosed": 1}
        assert Member.objects.filter(pk__in=[one.pk, other.pk], is_active=True).count() == 1


def test_whoever_erases_their_account_meanwhile_has_voted_before_or_not_at_all():
    scene = Scene()
    claim = claim_on(scene.report(scene.anchor), scene.crest)
    for _ in range(ROUNDS):
        voter = ReviewerFactory()
        answers = at_once([
            lambda by=voter: actions.cast_vote(
                claim=claim, by=by, at=now(), verdict="confirms", basis="photo", note="mine alone"
            ),
            lambda by=voter: actions.erase_member(by=by, at=now()),
        ])  # fmt: skip
        assert set(kinds(answers)) <= {"done", "AccountClosed"}
        assert not Vote.objects.filter(by=voter).exclude(note="").exists()


def test_a_trait_accepted_while_a_report_on_it_is_sent_leaves_nothing_to_settle():
    scene = Scene()
    base = scene.report(scene.red)
    for n in range(ROUNDS):
        badge = TraitFactory(
            line=scene.release.line, key=f"badge{n}", name=f"Badge {n}", adopted_by=scene.release, acceptance="proposed"
        )  # fmt: skip
        state = StateFactory(trait=badge, key="plain", acceptance="proposed")
        content = {"claims": [{"trait": badge.public_id, "state": state.public_id}]}
        draft = actions.start_draft(by=MemberFactory(), at=now(), variant=base, content=content)
        answers = at_once([
            lambda draft=draft: actions.send_submission(submission=draft, by=draft.author, at=now()),
            lambda badge=badge: actions.accept(thing=badge, by=scene.moderator, at=now()),
            lambda state=state: actions.accept(thing=state, by=scene.moderator, at=now()),
        ])  # fmt: skip
        assert kinds(answers) == {"done": 3}
        stored = as_stored(scene.release)
        settle_release(release=scene.release, at=now())
        assert as_stored(scene.release) == stored
        assert State.objects.get(pk=state.pk).is_accepted


def test_the_journal_has_no_gap_and_no_two_ends_whoever_writes_at_once():
    scenes = [Scene() for _ in range(4)]
    claims = [claim_on(scene.report(scene.anchor), scene.crest) for scene in scenes]
    for n in range(ROUNDS):
        before = reading().size
        verdict = "confirms" if n % 2 else "contradicts"
        answers = at_once(
            lambda by=scene.reviewers[0], claim=claim, verdict=verdict: actions.cast_vote(
                claim=claim, by=by, at=now(), verdict=verdict, basis="photo"
            )
            for scene, claim in zip(scenes, claims, strict=True)
        )
        assert kinds(answers) == {"done": 4}
        assert reading().size >= before + 4
        assert first_fault() is None
