"""What was decided is not opened again without new evidence; and a variant set apart and verified again."""

import gzip
import json

import pytest

from registry import actions
from registry.actions.reopen import refuse_decided
from registry.errors import DecidedBefore, InvalidField, NotFound, OwnSubmission
from registry.models import Claim, Dispute, Photo, State, Variant
from tests.path import claim_on, now
from tests.pictures import jpeg

from .yard import Yard, as_stored, by_journal, picture

pytestmark = pytest.mark.django_db


def dispute(yard, variant, state, by=None, **said):
    claim = Claim.objects.open().get(variant=variant, trait=state.trait)
    by = by or yard.collectors[1]
    return actions.open_dispute(claim=claim, state=state, by=by, reason="I see another.", at=now(), **said)


def agrees(yard):
    return by_journal(yard.release) == as_stored(yard.release)


def cause_state(key):
    return State.objects.get(trait__key="cause", trait__line=None, key=key)


@pytest.fixture
def yard():
    return Yard()


@pytest.fixture
def base(yard):
    return yard.baseline()


@pytest.fixture(params=["upheld", "withdrawn", "corrected"])
def decided(request, yard, base):
    """The state that lost, after a dispute ended in each of the three ways."""
    anchor, gull = yard.gull_states[:2]
    opened = dispute(yard, base, gull, data=picture())
    if request.param == "upheld":
        yard.moderate("close_dispute", dispute=opened, reason="It is the shadow.")
    elif request.param == "withdrawn":
        actions.withdraw_dispute(dispute=opened, by=opened.opened_by, at=now())
    else:
        example, photo = yard.examples()[0], Photo.objects.order_by("pk").first()
        actions.mark_region(
            photo=photo, example=example, claim=opened.rival, xywh=(0, 0, 9, 9), by=photo.owner, at=now()
        )
        yard.vote(opened.rival, voters=6)
    opened.refresh_from_db()
    assert opened.outcome == request.param
    return anchor if request.param == "corrected" else gull


def test_the_same_state_is_not_proposed_again_by_anybody(yard, base, decided):
    before = as_stored(yard.release)
    for by in (yard.collectors[1], yard.reviewers[0]):
        with pytest.raises(DecidedBefore) as caught:
            dispute(yard, base, decided, by=by)
    assert (caught.value.code, caught.value.field) == ("decided-before", "photo")
    assert caught.value.extra == {"dispute": Dispute.objects.get().public_id}
    assert as_stored(yard.release) == before
    assert dispute(yard, base, yard.gull_states[2]).outcome == "open"


def test_a_moderator_may_ask_again(yard, base, decided):
    assert dispute(yard, base, decided, by=yard.moderator).outcome == "open"


def test_a_picture_that_was_not_there_yet_reopens_it_and_contests(yard, base, decided):
    opened = dispute(yard, base, decided, data=picture())
    assert (opened.contests, opened.photos.count()) == (True, 1)
    assert agrees(yard)


def test_a_photograph_taken_into_the_registry_since_reopens_it(yard, base, decided):
    old = Photo.objects.filter(dispute=None).order_by("pk").first()
    with pytest.raises(DecidedBefore):
        dispute(yard, base, decided, photo=old)
    new = yard.show(base, by=yard.reviewers[5])
    opened = dispute(yard, base, decided, photo=new)
    new.refresh_from_db()
    assert (opened.contests, new.dispute) == (True, opened)
    assert agrees(yard)
    yard.vote(opened.rival, voters=5)
    with pytest.raises(OwnSubmission):
        actions.cast_vote(
            claim=opened.rival, by=yard.reviewers[5], verdict="confirms", basis="photo", at=now()
        )
    assert agrees(yard)


def test_a_picture_sent_again_is_as_old_as_it_was(yard, base):
    data = picture()
    opened = dispute(yard, base, yard.gull_states[1], data=data)
    actions.withdraw_dispute(dispute=opened, by=opened.opened_by, at=now())
    with pytest.raises(DecidedBefore):
        dispute(yard, base, yard.gull_states[1], data=data)
    again = dispute(yard, base, yard.gull_states[2], data=picture())
    copy = actions.attach_photo(by=yard.collectors[2], at=now(), dispute=again, data=data)
    with pytest.raises(DecidedBefore):
        refuse_decided(again.claim, yard.gull_states[1], yard.release, yard.collectors[2], copy, None)


def test_a_report_that_contradicts_brings_its_own_photograph(yard, base, decided):
    claim = {"trait": yard.crest.public_id, "state": decided.public_id}
    draft = actions.start_draft(by=yard.collectors[2], at=now(), variant=base, content={"claims": [claim]})
    with pytest.raises(DecidedBefore):
        actions.send_submission(submission=draft, by=draft.author, at=now())
    actions.attach_photo(by=draft.author, at=now(), data=picture(), submission=draft)
    actions.send_submission(submission=draft, by=draft.author, at=now())
    assert Dispute.objects.open().get().rival.state == decided
    assert agrees(yard)


def test_a_photograph_of_elsewhere_or_of_anothers_draft_is_no_evidence_here(yard, base):
    elsewhere = Yard()
    photo = elsewhere.show(elsewhere.baseline())
    with pytest.raises(InvalidField, match="photo"):
        dispute(yard, base, yard.gull_states[1], photo=photo)
    draft = actions.start_draft(by=yard.collectors[2], at=now(), variant=base)
    hidden = actions.attach_photo(by=draft.author, at=now(), data=jpeg(), submission=draft)
    with pytest.raises(NotFound):
        dispute(yard, base, yard.gull_states[1], photo=hidden)
    assert not Dispute.objects.exists()


def test_what_a_moderators_event_cut_short_was_not_decided(yard, base):
    dispute(yard, base, yard.gull_states[1])
    said = {"variant": base, "reason": "Repainted."}
    yard.moderate("strike_variant", **said, reason_code="customised")
    yard.moderate("restore_variant", **said)
    assert dispute(yard, base, yard.gull_states[1]).outcome == "open"


def published(yard, variant):
    """The variant's standing and cause in a new edition."""
    edition = yard.moderate("publish_edition")
    lines = gzip.decompress(actions.edition_file(edition, "variants.ndjson.gz").read_bytes()).splitlines()
    record = next(line for line in map(json.loads, lines) if line["id"] == variant.public_id)
    return record["standing"], record["cause"]


def test_a_variant_moves_between_verified_and_set_apart_and_back_by_disputes_of_its_cause(yard, base):
    variant = yard.verify(yard.report(yard.gull_states[1], base=base, cause="running_change"))
    assert published(yard, variant) == ("verified", "running_change")
    opened = dispute(yard, variant, cause_state("factory_error"), data=picture())
    assert published(yard, variant) == ("contested", "running_change")
    yard.vote(opened.rival, voters=6)
    assert published(yard, variant) == ("set_apart", "factory_error")
    with pytest.raises(DecidedBefore):
        dispute(yard, variant, cause_state("running_change"))
    opened = dispute(yard, variant, cause_state("running_change"), data=picture())
    assert published(yard, variant) == ("contested", "factory_error")
    yard.vote(opened.rival, voters=6)
    assert published(yard, variant) == ("verified", "running_change")
    assert Variant.objects.get(pk=variant.pk).revision_number == 3
    assert claim_on(variant, yard.crest).since_revision == 1
    assert agrees(yard)
