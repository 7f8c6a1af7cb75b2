"""Striking, restoring and retitling a variant, and who is the first of a release after that."""

import pytest

from registry import actions
from registry.errors import IdentityMoved, InvalidField, RoleRequired, WrongMoment
from registry.models import Claim, Dispute, JournalEntry, Revision, SearchEntry
from tests.path import claim_on, now

from .test_merge_variants import agrees, fresh
from .yard import Yard, as_stored

pytestmark = pytest.mark.django_db


def struck(yard, variant, **said):
    said = {"reason_code": "customised", "reason": "Repainted at home.", **said}
    return yard.moderate("strike_variant", variant=variant, **said)


@pytest.fixture
def yard():
    return Yard()


def test_a_strike_and_its_undoing_are_two_events_that_leave_all_as_it_was(yard):
    base = yard.baseline()
    before = as_stored(yard.release)
    struck(yard, base)
    gone = fresh(base)
    assert gone.standing == "struck"
    assert '"reason_code":"customised"' in gone.record
    assert '"claims"' not in gone.record
    assert not SearchEntry.objects.filter(public_id=base.public_id).exists()
    assert agrees(yard)
    yard.moderate("restore_variant", variant=base, reason="It is as the factory made it.")
    assert as_stored(yard.release) == before
    assert [event.kind for event in base.moderator_events.order_by("pk")] == ["struck", "restored"]
    assert SearchEntry.objects.filter(public_id=base.public_id).exists()
    assert agrees(yard)


def test_disputes_of_what_was_struck_are_taken_back(yard):
    base = yard.baseline()
    dispute = actions.open_dispute(
        claim=claim_on(base, yard.crest),
        state=yard.gull_states[1],
        by=yard.reviewers[0],
        reason="A gull.",
        at=now(),
    )
    struck(yard, base)
    dispute.refresh_from_db()
    assert (dispute.outcome, dispute.closed_by) == ("withdrawn", yard.moderator)
    assert not Claim.objects.get(pk=dispute.rival_id).is_open
    assert not Dispute.objects.open().exists()
    assert agrees(yard)


def test_the_first_that_stands_is_the_baseline_of_the_others(yard):
    hoax = yard.report(yard.gull_states[0])
    struck(yard, hoax, reason_code="hoax")
    base = yard.report(yard.gull_states[1])
    assert base.cause == "baseline"
    base = yard.verify(base)
    assert base.standing == "verified"
    assert agrees(yard)
    yard.moderate("restore_variant", variant=hoax, reason="It was real.")
    # Two baselines cannot be: that of the later one needs votes from here on, until its cause is corrected.
    base = fresh(base)
    assert base.standing == "provisional"
    assert any("cause" in sentence.lower() for sentence in base.missing)
    assert agrees(yard)


def test_what_is_gone_is_not_struck_again_and_only_moderators_strike(yard):
    base = yard.baseline()
    with pytest.raises(RoleRequired):
        actions.strike_variant(
            variant=base, by=yard.reviewers[0], at=now(), reason_code="hoax", reason="A hoax."
        )
    with pytest.raises(InvalidField):
        struck(yard, base, reason_code="ugly")
    with pytest.raises(WrongMoment):
        yard.moderate("restore_variant", variant=base, reason="Nothing happened.")
    struck(yard, base)
    with pytest.raises(IdentityMoved):
        struck(yard, base)
    with pytest.raises(IdentityMoved):
        yard.moderate("retitle_variant", variant=base, title="Gull", reason="Better.")


def test_a_better_title_is_a_revision(yard):
    base = yard.baseline()
    crest = claim_on(base, yard.crest)
    other = yard.report(yard.gull_states[1], base=base)
    yard.moderate("retitle_variant", variant=base, title="First tide", nicknames=["Anna"], reason="Shorter.")
    assert (fresh(base).title, fresh(base).nicknames, fresh(base).standing) == (
        "First tide",
        ["Anna"],
        "verified",
    )
    revision = Revision.objects.get(variant=base, number=2)
    assert (revision.title, revision.reason, revision.parent.number) == ("First tide", "Shorter.", 1)
    assert crest.public_id in revision.claims
    assert SearchEntry.objects.get(public_id=base.public_id).title == "First tide"
    assert JournalEntry.objects.get(verb="variant.retitled").detail["title"] == "First tide"
    assert fresh(other).standing == "provisional"
    assert agrees(yard)
    with pytest.raises(InvalidField):
        yard.moderate("retitle_variant", variant=base, title="First tide", reason="Again.")
