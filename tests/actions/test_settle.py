"""Settling: what it keeps, what it says it changed, and that a second time changes nothing."""

import pytest

from registry import actions
from registry.models import Claim, JournalEntry, Variant
from tests.factories import ReleaseFactory
from tests.path import Scene, claim_on, now

from .watching import everything, journal_lines

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene():
    return Scene()


def test_settling_twice_changes_nothing_the_second_time(scene):
    base = scene.baseline()
    scene.change(base, scene.gull)
    actions.open_dispute(
        claim=claim_on(base, scene.crest), state=scene.gull, by=scene.reviewers[5], reason="A gull.", at=now()
    )
    actions.settle_release(release=scene.release, at=now())
    before = everything()
    assert actions.settle_release(release=scene.release, at=now()) == []
    assert everything() == before


def test_a_release_without_variants_is_settled_too():
    release = ReleaseFactory(is_founding=False)
    changes = actions.settle_release(release=release, at=now())
    assert changes == [{"kind": "policy", "id": release.public_id, "from": "full", "to": "founding"}]


def test_what_changed_is_said_once_in_the_journal_as_the_systems_own_doing(scene):
    variant = scene.report(scene.anchor)
    claim = claim_on(variant, scene.crest)
    scene.show(variant)
    scene.vote(claim, voters=2)
    with journal_lines() as lines:
        actions.cast_vote(claim=claim, by=scene.reviewers[2], at=now(), verdict="confirms", basis="photo")
    settled = [line for line in lines if line.verb == "release.settled"]
    assert [(line.by, line.detail) for line in settled] == [
        (None, {"changes": [{"kind": "claim", "id": claim.public_id, "from": "open", "to": "confirmed"}]})
    ]


def test_a_vote_that_moves_no_standing_writes_no_settling_line(scene):
    claim = claim_on(scene.report(scene.anchor), scene.crest)
    with journal_lines() as lines:
        actions.cast_vote(claim=claim, by=scene.reviewers[2], at=now(), verdict="confirms", basis="photo")
    assert [line.verb for line in lines] == ["vote.cast"]


def test_the_record_changes_its_time_only_when_it_says_something_else(scene):
    base = scene.baseline()
    before = Variant.objects.get(pk=base.pk)
    scene.vote(claim_on(base, scene.crest), voters=6)
    after = Variant.objects.get(pk=base.pk)
    assert Claim.objects.get(pk=claim_on(base, scene.crest).pk).votes_counted == 6
    assert (after.record, after.record_digest, after.changed_at) == (
        before.record, before.record_digest, before.changed_at,
    )  # fmt: skip


def test_struck_stays_struck_whatever_the_votes_say_until_it_is_restored(scene):
    base = scene.baseline()
    said = {"variant": base, "by": scene.moderator, "reason": "Repainted."}
    actions.strike_variant(**said, at=now(), reason_code="customised")
    actions.settle_release(release=scene.release, at=now())
    assert Variant.objects.get(pk=base.pk).standing == "struck"
    actions.restore_variant(**said, at=now())
    assert Variant.objects.get(pk=base.pk).standing == "verified"


def test_the_journal_holds_no_address(scene):
    scene.baseline()
    scene.draft()
    assert "@" not in str(list(JournalEntry.objects.values_list("detail", "verb", "about_id")))
