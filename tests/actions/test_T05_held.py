"""T05: who keeps disputing one person's records has to wait for a moderator, unseen by others until then."""

from datetime import timedelta

import pytest

from registry import actions
from registry.errors import AlreadyClosed, InvalidField
from registry.methods.guards import GRUDGE_WINDOW
from registry.models import Claim, Dispute, HeldDispute
from tests.actions.watching import everything, journal_lines, refused
from tests.factories import HeldDisputeFactory, MemberFactory, StateFactory
from tests.path import Scene, claim_on, now

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene():
    return Scene()


@pytest.fixture
def claims(scene):
    """Five details that one member reported."""
    variant = scene.report(scene.anchor, scene.red, scene.black)
    other = scene.report(scene.gull, scene.blue, base=variant, cause="parallel")
    traits = (scene.crest, scene.stripe, scene.wheels)
    return [claim_on(variant, t) for t in traits] + [claim_on(other, t) for t in traits[:2]]


def dispute(claim, by, at=None, state=None):
    state = state or StateFactory(trait=claim.trait)
    return actions.open_dispute(claim=claim, state=state, reason="I see another.", by=by, at=at or now())


def test_T05_the_fourth_dispute_of_ones_records_is_held_and_a_fifth_from_another_passes(scene, claims):
    grudge = MemberFactory()
    for claim in claims[:3]:
        assert isinstance(dispute(claim, grudge), Dispute)
    other = StateFactory(trait=claims[3].trait)
    before = everything()
    with journal_lines() as lines:
        held = dispute(claims[3], grudge, state=other)
    assert isinstance(held, HeldDispute)
    assert [(line.verb, line.by) for line in lines] == [("dispute.held", grudge)]
    after = everything()
    changed = {table for table in after if after[table] != before[table]}
    assert changed == {"registry_helddispute", "registry_journalentry"}
    claims[3].refresh_from_db()
    assert claims[3].standing == "open"
    assert isinstance(dispute(claims[3], MemberFactory()), Dispute)
    assert isinstance(dispute(claims[4], MemberFactory()), Dispute)


def test_T05_disputes_of_others_and_of_long_ago_do_not_add_up(scene, claims):
    member = MemberFactory()
    for claim in claims[:3]:
        dispute(claim, member)
    another = claim_on(scene.report(scene.chrome, base=claims[0].variant, by=MemberFactory()), scene.wheels)
    assert isinstance(dispute(another, member), Dispute)
    assert isinstance(dispute(claims[3], member, at=now() + GRUDGE_WINDOW + timedelta(days=1)), Dispute)


def test_T05_a_held_one_adds_up_with_the_others(scene, claims):
    member = MemberFactory()
    for claim in claims[:3]:
        HeldDisputeFactory(claim=claim, opened_by=member, held_at=now())
    assert isinstance(dispute(claims[3], member), HeldDispute)


def test_T05_a_moderator_lets_it_go_on_in_its_openers_name(scene, claims):
    held = HeldDisputeFactory(claim=claims[0], state=scene.gull, reason="Look at the beak.")
    opened = actions.release_held(held=held, by=scene.moderator, at=now())
    assert (opened.opened_by, opened.reason) == (held.opened_by, "Look at the beak.")
    assert Claim.objects.get(rival_in=opened).state == scene.gull
    held.refresh_from_db()
    assert (held.outcome, held.released_as, held.decided_by) == ("released", opened, scene.moderator)
    for again in (actions.release_held, lambda **said: actions.decline_held(reason="No.", **said)):
        with refused(AlreadyClosed):
            again(held=held, by=scene.moderator, at=now())


def test_T05_or_declines_it_with_a_reason_and_nothing_of_it_shows(scene, claims):
    held = HeldDisputeFactory(claim=claims[0], state=scene.gull)
    with refused(InvalidField, field="reason"):
        actions.decline_held(held=held, reason=" ", by=scene.moderator, at=now())
    actions.decline_held(held=held, reason="It is settled.", by=scene.moderator, at=now())
    held.refresh_from_db()
    assert (held.outcome, held.decline_reason) == ("declined", "It is settled.")
    assert not Dispute.objects.exists()


def test_T05_a_report_that_contradicts_is_held_too_and_its_photos_stay_the_reports(scene, claims):
    grudge, variant = MemberFactory(), claims[3].variant
    for claim in claims[:3]:
        dispute(claim, grudge)
    heron = StateFactory(trait=scene.crest)
    draft = actions.start_draft(
        by=grudge, at=now(), variant=variant,
        content={"claims": [{"trait": scene.crest.public_id, "state": heron.public_id}]},
    )  # fmt: skip
    actions.send_submission(submission=draft, by=grudge, at=now())
    assert HeldDispute.objects.get().claim == claims[3]
    assert not Dispute.objects.filter(claim=claims[3]).exists()
