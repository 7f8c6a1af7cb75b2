"""Several people at once, in real threads, each with a connection of its own; on both databases."""

import gzip
from collections.abc import Callable
from typing import Any

import pytest

from registry import actions
from registry.actions.publish import edition_files
from registry.errors import AlreadyClosed, Conflict, EditionUnchanged, RegistryError, TwinExists, WrongMoment
from registry.methods.canon import whole_digest
from registry.methods.edition import faults
from registry.models import (
    Claim,
    Dispute,
    Edition,
    JournalEntry,
    PublicationEntry,
    Revision,
    RoleGrant,
    State,
    Submission,
    Trait,
    Vote,
)
from tests.factories import MemberFactory, ModeratorFactory, ReleaseFactory, StateFactory, TraitFactory
from tests.path import Scene, claim_on, now
from tests.racing import ROUNDS, at_once, kinds

from .bending import first_fault

pytestmark = pytest.mark.django_db(transaction=True)


def test_T40_fifty_equal_votes_are_one():
    scene = Scene()
    claim, by = claim_on(scene.report(scene.anchor), scene.crest), scene.reviewers[0]
    votes = at_once(
        [lambda: actions.cast_vote(claim=claim, by=by, at=now(), verdict="confirms", basis="photo")] * 50
    )
    assert kinds(votes) == {"done": 50}
    assert {vote.pk for vote in votes} == {Vote.objects.get().pk}
    assert Claim.objects.get(pk=claim.pk).votes_counted == 1


def test_T40_unlike_votes_of_one_reviewer_leave_one_that_is_current():
    scene = Scene()
    claim, by = claim_on(scene.report(scene.anchor), scene.crest), scene.reviewers[0]

    def vote(verdict: str) -> Callable[[], Any]:
        return lambda: actions.cast_vote(claim=claim, by=by, at=now(), verdict=verdict, basis="photo")

    for _ in range(ROUNDS):
        assert kinds(at_once([vote("confirms"), vote("contradicts"), vote("cannot_tell")])) == {"done": 3}
        assert Vote.objects.current().count() == 1
    assert Claim.objects.get(pk=claim.pk).votes_counted <= 1


def test_T40_votes_of_many_reviewers_are_all_counted():
    scene = Scene()
    claim = claim_on(scene.report(scene.anchor), scene.crest)
    for _ in range(ROUNDS):
        at_once(
            lambda by=by: actions.cast_vote(claim=claim, by=by, at=now(), verdict="confirms", basis="photo")
            for by in scene.reviewers
        )
        assert Claim.objects.get(pk=claim.pk).votes_counted == len(scene.reviewers)
        for by in scene.reviewers:
            actions.withdraw_vote(claim=claim, by=by, at=now())


def test_T41_two_moderators_close_one_dispute_once():
    scene = Scene()
    claim = claim_on(scene.report(scene.anchor), scene.crest)
    moderators = [scene.moderator, ModeratorFactory()]
    for _ in range(ROUNDS):
        opener = ModeratorFactory()  # a new one each time, or it is held; and no new photograph is asked for
        dispute = actions.open_dispute(claim=claim, state=scene.gull, by=opener, reason="A gull.", at=now())
        copies = [Dispute.objects.get(pk=dispute.pk) for _ in moderators]
        answers = at_once(
            lambda copy=copy, by=by: actions.close_dispute(dispute=copy, by=by, at=now(), reason="No.")
            for copy, by in zip(copies, moderators, strict=True)
        )
        assert kinds(answers) == {"done": 1, "AlreadyClosed": 1}
        assert {answer.code for answer in answers if isinstance(answer, AlreadyClosed)} == {"already-closed"}
        assert JournalEntry.objects.filter(verb="dispute.closed", about_id=dispute.public_id).count() == 1


def test_T41_a_dispute_closed_and_corrected_at_once_ends_one_way_with_one_revision():
    scene = Scene()
    variant = scene.report(scene.anchor)
    claim = claim_on(variant, scene.crest)
    dispute = actions.open_dispute(
        claim=claim, state=scene.gull, by=MemberFactory(), reason="A gull.", at=now()
    )
    example = scene.example()
    scene.mark(dispute.rival, scene.photo(example), example)
    scene.vote(dispute.rival, voters=2)
    rival, copy = Claim.objects.get(pk=dispute.rival_id), Dispute.objects.get(pk=dispute.pk)
    last = scene.reviewers[2]
    answers = at_once([
        lambda: actions.cast_vote(claim=rival, by=last, at=now(), verdict="confirms", basis="photo"),
        lambda: actions.close_dispute(dispute=copy, by=scene.moderator, at=now(), reason="No."),
    ])  # fmt: skip
    dispute.refresh_from_db()
    assert kinds(answers) == {"done": 1, "AlreadyClosed": 1}
    revisions = {"corrected": 2, "upheld": 1}[dispute.outcome]
    assert Revision.objects.filter(variant=variant).count() == revisions
    assert JournalEntry.objects.filter(verb="dispute.closed").count() == 1


def test_one_claim_is_disputed_once():
    scene = Scene()
    claim = claim_on(scene.report(scene.anchor), scene.crest)
    for _ in range(ROUNDS):
        moderators = [ModeratorFactory(), ModeratorFactory()]  # as above
        answers = at_once(
            lambda by=by: actions.open_dispute(
                claim=claim, state=scene.gull, by=by, reason="A gull.", at=now()
            )
            for by in moderators
        )
        assert kinds(answers) == {"done": 1, "WrongMoment": 1}
        dispute = Dispute.objects.open().get()
        actions.withdraw_dispute(dispute=dispute, by=dispute.opened_by, at=now())


def test_T42_of_twenty_edits_of_one_copy_one_is_kept():
    draft = actions.start_draft(by=MemberFactory(), at=now(), content={})
    answers = at_once(
        lambda n=n: actions.edit_draft(
            submission=draft, by=draft.author, at=now(), expected_revision=1, content={"title": f"title {n}"}
        )
        for n in range(20)
    )
    assert kinds(answers) == {"done": 1, "Conflict": 19}
    assert {type(answer) for answer in answers if isinstance(answer, RegistryError)} == {Conflict}
    kept = next(answer for answer in answers if isinstance(answer, Submission))
    draft.refresh_from_db()
    assert (draft.content, draft.revision) == (kept.content, 2)


def test_a_report_is_sent_once():
    scene = Scene()
    claims = [{"trait": scene.crest.public_id, "state": scene.anchor.public_id}]
    draft = scene.draft(claims=claims)
    answers = at_once([lambda: actions.send_submission(submission=draft, by=scene.author, at=now())] * 5)
    assert kinds(answers) == {"done": 1, "AlreadyClosed": 4}
    assert scene.release.variants.count() == 1


def test_of_two_equal_reports_one_makes_the_variant_and_the_other_is_shown_its_twin():
    scene = Scene()
    claims = [{"trait": scene.crest.public_id, "state": scene.anchor.public_id}]
    drafts = [scene.draft(by=MemberFactory(), claims=claims) for _ in range(2)]
    answers = at_once(
        lambda draft=draft: actions.send_submission(submission=draft, by=draft.author, at=now())
        for draft in drafts
    )
    refusals = [answer for answer in answers if isinstance(answer, RegistryError)]
    assert len(refusals) == 1
    assert refusals[0].code in ("twin-exists", "difference-missing")
    assert scene.release.variants.count() == 1


def test_T43_two_moderators_publish_one_edition():
    scene = Scene()
    base = scene.baseline()
    moderators = [scene.moderator, ModeratorFactory()]

    def publish(by: Any) -> Callable[[], Any]:
        return lambda: actions.publish_edition(by=by, at=now())

    for number in range(1, ROUNDS + 1):
        answers = at_once(publish(by) for by in moderators)
        assert kinds(answers) == {"done": 1, EditionUnchanged.__name__: 1}
        assert Edition.objects.count() == number
        claim = claim_on(base, scene.crest)
        verdict = "contradicts" if number % 2 else "confirms"
        scene.vote(claim, verdict=verdict, voters=3)


def test_T43_votes_while_an_edition_is_cut_are_in_exactly_one():
    scene = Scene()
    base = scene.baseline()
    claim = claim_on(base, scene.crest)

    def vote(by: Any, verdict: str) -> Callable[[], Any]:
        return lambda: actions.cast_vote(claim=claim, by=by, at=now(), verdict=verdict, basis="photo")

    actions.publish_edition(by=scene.moderator, at=now())
    for turn in range(ROUNDS):
        verdict = "contradicts" if turn % 2 == 0 else "confirms"
        at_once([
            lambda: actions.publish_edition(by=scene.moderator, at=now()),
            *(vote(by, verdict) for by in scene.reviewers),
        ])  # fmt: skip
    base.refresh_from_db()
    if PublicationEntry.objects.latest("position").digest != base.record_digest:
        actions.publish_edition(by=scene.moderator, at=now())
    entries = list(PublicationEntry.objects.order_by("position").values_list("edition_number", "digest"))
    assert entries[-1][1] == base.record_digest
    assert [number for number, _ in entries] == list(range(1, len(entries) + 1))
    assert all(one[1] != next_one[1] for one, next_one in zip(entries, entries[1:], strict=False))
    for edition in Edition.objects.all():
        assert whole_digest(edition_files(edition)["edition.json"]) == edition.digest
        assert faults(unpacked(edition)) == []
    assert first_fault() is None


def unpacked(edition: Edition) -> dict[str, bytes]:
    files = edition_files(edition)
    return {**files, "variants.ndjson": gzip.decompress(files["variants.ndjson.gz"])}


def test_T45_a_merge_and_its_reverse_leave_one_survivor_and_no_circle():
    moderators = [ModeratorFactory(), ModeratorFactory()]
    for _ in range(ROUNDS):
        trait = TraitFactory()
        one, other = StateFactory(trait=trait), StateFactory(trait=trait)
        answers = at_once([
            lambda one=one, other=other: actions.merge(thing=one, into=other, by=moderators[0], at=now()),
            lambda one=one, other=other: actions.merge(thing=other, into=one, by=moderators[1], at=now()),
        ])  # fmt: skip
        assert kinds(answers) == {"done": 1, "AlreadyClosed": 1}
        merged = State.objects.exclude(merged_into=None).get(trait=trait)
        assert merged.survivor.merged_into is None


def test_T45_merges_in_a_row_lead_to_the_last_survivor():
    moderator = ModeratorFactory()
    for _ in range(ROUNDS):
        trait = TraitFactory()
        a, b, c = (StateFactory(trait=trait) for _ in range(3))
        at_once([
            lambda a=a, b=b: actions.merge(thing=a, into=b, by=moderator, at=now()),
            lambda b=b, c=c: actions.merge(thing=b, into=c, by=moderator, at=now()),
        ])  # fmt: skip
        for state in State.objects.filter(trait=trait, is_built_in=False):
            assert state.survivor.merged_into is None


def test_a_trait_merged_while_it_is_claimed_locks_nobody_out():
    scene = Scene()
    base = scene.report(scene.red)
    for n in range(ROUNDS):
        badge = TraitFactory(
            line=scene.release.line, key=f"badge{n}", name=f"Badge {n}", adopted_by=scene.release
        )
        state = StateFactory(trait=badge, key="plain")
        content = {"claims": [{"trait": badge.public_id, "state": state.public_id}]}
        draft = actions.start_draft(by=MemberFactory(), at=now(), variant=base, content=content)
        into = TraitFactory(line=scene.release.line, adopted_by=scene.release)
        answers = at_once([
            lambda draft=draft: actions.send_submission(submission=draft, by=draft.author, at=now()),
            lambda badge=badge, into=into: actions.merge(thing=badge, into=into, by=scene.moderator, at=now()),
        ])  # fmt: skip
        assert kinds(answers) == {"done": 2}
        claim = Claim.objects.open().get(variant=base, submission=draft)
        assert (claim.trait.survivor, Trait.objects.get(pk=badge.pk).survivor) == (into, into)


def test_packs_of_the_same_releases_are_added_at_once():
    moderator = ModeratorFactory()
    first = ReleaseFactory()
    second = ReleaseFactory(line=first.line, casting=first.casting)
    for n in range(ROUNDS):
        answers = at_once([
            lambda n=n, order=order: actions.add_pack(
                by=moderator, at=now(), line=first.line, name=f"Box {n} {order[0].pk}", kind="multi_pack",
                contents=dict.fromkeys(order, 1),
            )
            for order in ((first, second), (second, first))
        ])  # fmt: skip
        assert kinds(answers) == {"done": 2}


def test_a_role_is_granted_once():
    moderators = [ModeratorFactory(), ModeratorFactory()]
    for _ in range(ROUNDS):
        member = MemberFactory()
        answers = at_once(
            lambda by=by, other=other, member=member: actions.grant_role(
                member=member, role="reviewer", by=by, seconded_by=other, at=now()
            )
            for by, other in (moderators, moderators[::-1])
        )
        assert kinds(answers) == {"done": 1, WrongMoment.__name__: 1}
        assert RoleGrant.objects.filter(member=member).count() == 1


def test_one_release_is_proposed_once():
    scene = Scene()
    said = {"line": scene.release.line.public_id, "name": "Low water", "year": 2026}
    claims = [{"trait": scene.crest.public_id, "state": scene.anchor.public_id}]
    drafts = [
        actions.start_draft(
            by=MemberFactory(), at=now(), casting=scene.release.casting,
            content={"claims": claims, "proposes": {"release": said}},
        )
        for _ in range(2)
    ]  # fmt: skip
    answers = at_once(
        lambda draft=draft: actions.send_submission(submission=draft, by=draft.author, at=now())
        for draft in drafts
    )
    assert kinds(answers) == {"done": 1, TwinExists.__name__: 1}
