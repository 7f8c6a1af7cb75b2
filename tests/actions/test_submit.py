"""Sending a report: what appears, and what every part of it must be."""

import pytest

from registry import actions
from registry.models import Claim, Dispute, Revision, SearchEntry
from tests.factories import (
    MemberFactory,
)
from tests.path import Scene, claim_on, now

pytestmark = pytest.mark.django_db


def said(*states, kind="difference", **more):
    return [{"trait": s.trait.public_id, "state": s.public_id, "kind": kind, **more} for s in states]


def send(draft):
    return actions.send_submission(submission=draft, by=draft.author, at=now())


def test_a_first_variant_has_revision_1_a_baseline_and_its_claims_as_differences():
    scene = Scene()
    variant = scene.report(scene.anchor, scene.red, title="Anchor crest")
    claims = Claim.objects.open().filter(variant=variant).exclude(trait__key="cause")
    assert {(claim.state, claim.is_difference, claim.author) for claim in claims} == {
        (scene.anchor, True, scene.author),
        (scene.red, True, scene.author),
    }
    cause = Claim.objects.get(variant=variant, trait__key="cause")
    assert (cause.state.key, cause.author, variant.cause) == ("baseline", None, "baseline")
    revision = Revision.objects.get(variant=variant)
    assert (revision.number, revision.parent, len(revision.claims)) == (1, None, 3)
    assert (variant.standing, variant.noticed_by, variant.title) == (
        "provisional",
        scene.author,
        "Anchor crest",
    )


def test_only_what_the_submitter_asserts_becomes_a_claim():
    scene = Scene()
    base = scene.report(scene.anchor, scene.red)
    draft = scene.draft(base=base, claims=said(scene.gull) + said(scene.red, kind="alike"))
    variant = send(draft).variant
    claims = Claim.objects.filter(variant=variant)
    assert {(claim.state, claim.is_difference) for claim in claims} == {
        (scene.gull, True),
        (scene.red, False),
    }
    assert claim_on(variant, scene.crest).base_claim == claim_on(base, scene.crest)


def test_a_variant_without_a_title_is_called_after_what_differs():
    scene = Scene()
    base = scene.report(scene.anchor, scene.red)
    assert scene.report(scene.gull, base=base).title == "Gull roof crest"


def test_the_note_of_who_published_it_first_takes_the_place_of_the_noticer():
    scene = Scene()
    variant = scene.report(scene.anchor, noticed_in="Harbour Gazette 12")
    assert (variant.noticed_in, variant.noticed_by) == ("Harbour Gazette 12", None)


def test_it_can_be_found_at_once():
    scene = Scene()
    variant = scene.report(scene.anchor, title="Anchor crest", nicknames=["old hook"])
    assert "hook" in SearchEntry.objects.get(public_id=variant.public_id).words


def test_the_month_in_which_an_example_was_found_sorts_it():
    scene = Scene()
    months = [{"condition": "loose", "found_month": month} for month in ("2026-03", "2026-01")]
    assert scene.report(scene.anchor, examples=months).noticed_on.isoformat() == "2026-01-01"


def test_a_report_on_a_known_variant_adds_claims_in_a_new_revision():
    scene = Scene()
    variant = scene.report(scene.anchor)
    first = claim_on(variant, scene.crest)
    draft = actions.start_draft(
        by=MemberFactory(), at=now(), variant=variant, content={"claims": said(scene.red)}
    )
    send(draft)
    variant.refresh_from_db()
    assert (variant.revision_number, claim_on(variant, scene.crest)) == (2, first)
    added = claim_on(variant, scene.stripe)
    assert (added.since_revision, added.is_difference) == (2, False)


def test_a_report_that_contradicts_a_known_variant_opens_a_dispute():
    scene = Scene()
    variant = scene.report(scene.anchor)
    draft = actions.start_draft(
        by=MemberFactory(), at=now(), variant=variant, content={"claims": said(scene.gull)}
    )
    send(draft)
    dispute = Dispute.objects.get()
    assert (dispute.claim, dispute.rival.state) == (claim_on(variant, scene.crest), scene.gull)
    assert dispute.opened_by == draft.author


def test_a_report_that_names_another_cause_disputes_the_cause():
    scene = Scene()
    variant = scene.report(scene.anchor)
    draft = actions.start_draft(by=MemberFactory(), at=now(), variant=variant, content={"cause": "altered"})
    send(draft)
    assert Dispute.objects.get().rival.state.key == "altered"


def test_a_cause_is_added_where_there_was_none():
    scene = Scene()
    variant = scene.report(scene.gull, base=scene.report(scene.anchor))
    draft = actions.start_draft(by=MemberFactory(), at=now(), variant=variant, content={"cause": "parallel"})
    send(draft)
    variant.refresh_from_db()
    assert (variant.cause, Dispute.objects.count()) == ("parallel", 0)


def test_a_mark_of_the_report_may_show_the_base_variant_too():
    scene = Scene()
    base = scene.report(scene.anchor)
    draft = scene.draft(base=base, claims=said(scene.gull))
    example = scene.example(owner=scene.author)
    photo = scene.photo(example)
    photo.submission = draft
    photo.save()
    mark = {"photo": photo.public_id, "example": example.public_id, "trait": scene.crest.public_id}
    marks = [mark | {"of": "base", "xywh": "percent:0,0,50,50"}, mark | {"xywh": "percent:50,0,50,50"}]
    actions.edit_draft(submission=draft, by=draft.author, at=now(), content={**draft.content, "marks": marks})
    variant = send(draft).variant
    assert [claim_on(each, scene.crest).examples_shown for each in (base, variant)] == [1, 1]
