"""The main path through the actions: report, evidence, votes, edition, dispute, correction, next edition."""

import pytest

from registry import actions
from registry.errors import EditionUnchanged, OwnSubmission
from registry.models import Claim, Outcome, Revision
from tests.path import Scene, claim_on, now

pytestmark = pytest.mark.django_db


def test_a_first_variant_becomes_the_verified_baseline():
    scene = Scene()
    variant = scene.report(scene.anchor, scene.red)
    assert (variant.standing, variant.cause) == ("provisional", "baseline")
    assert variant.missing
    scene.verify(variant)
    assert variant.standing == "verified"
    assert variant.missing == []


def test_a_running_change_is_verified_by_votes_and_two_independent_examples():
    scene = Scene()
    base = scene.baseline()
    variant = scene.report(scene.gull, base=base, cause="running_change")
    assert variant.standing == "provisional"
    scene.verify(variant)
    assert variant.standing == "verified"
    base.refresh_from_db()
    assert base.standing == "verified"


def test_the_difference_opens_the_missing_claim_of_the_base():
    scene = Scene()
    base = scene.baseline()
    draft = scene.draft(
        base=base,
        claims=[
            {
                "trait": scene.wheels.public_id,
                "state": scene.chrome.public_id,
                "kind": "difference",
                "base_state": scene.black.public_id,
            }
        ],
    )
    actions.send_submission(submission=draft, by=scene.author, at=now())
    base.refresh_from_db()
    assert claim_on(base, scene.wheels).state == scene.black
    assert base.revision_number == 2


def test_a_dispute_is_corrected_by_votes_and_the_next_edition_says_so():
    scene = Scene()
    base = scene.baseline()
    variant = scene.change(base, scene.gull, scene.blue)
    first = actions.publish_edition(by=scene.moderator, at=now())
    with pytest.raises(EditionUnchanged):
        actions.publish_edition(by=scene.moderator, at=now())
    claim = claim_on(variant, scene.stripe)
    green = actions.add_state(by=scene.moderator, at=now(), trait=scene.stripe, key="green", name="green")
    opener = scene.reviewers[5]
    dispute = actions.open_dispute(
        claim=claim, state=green, by=opener, reason="It is green in daylight.", at=now()
    )
    variant.refresh_from_db()
    assert variant.standing == "verified", "one person alone contests nothing"
    scene.vote(dispute.rival, voters=1)
    variant.refresh_from_db()
    assert variant.standing == "contested"
    for _ in range(2):
        example = scene.example()
        scene.mark(dispute.rival, scene.photo(example), example)
    scene.vote(dispute.rival, voters=5)
    dispute.refresh_from_db()
    assert dispute.outcome == Outcome.CORRECTED
    assert claim_on(variant, scene.stripe).state == green
    latest = Revision.objects.filter(variant=variant).latest("number")
    assert "green" in latest.reason
    unchanged = claim_on(variant, scene.crest)
    assert unchanged.since_revision == 1
    assert unchanged.public_id in latest.claims
    second = actions.publish_edition(by=scene.moderator, at=now())
    assert second.previous == first
    assert "green" not in actions.edition_file(first, "variants.csv").read_text()
    assert "green" in actions.edition_file(second, "variants.csv").read_text()


def test_nobody_votes_on_their_own_report():
    scene = Scene()
    variant = scene.report(scene.anchor)
    with pytest.raises(OwnSubmission):
        actions.cast_vote(
            claim=claim_on(variant, scene.crest), by=scene.author, verdict="confirms", basis="photo", at=now()
        )
    assert Claim.objects.open().get(variant=variant, trait=scene.crest).votes_counted == 0
