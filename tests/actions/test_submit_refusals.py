"""Reports that do not fit what is already listed are refused, and leave nothing but the draft."""

import pytest

from registry import actions
from registry.errors import DifferenceMissing, IdentityMoved, InvalidField, TwinExists, WrongMoment
from registry.models import Claim, Release, Submission, Variant
from tests.factories import (
    ExampleFactory,
    MemberFactory,
    ReleaseFactory,
    StateFactory,
    TraitFactory,
    VariantFactory,
)
from tests.path import Scene, claim_on, now

from .watching import refused

pytestmark = pytest.mark.django_db


def said(*states, kind="difference", **more):
    return [{"trait": s.trait.public_id, "state": s.public_id, "kind": kind, **more} for s in states]


def send(draft):
    return actions.send_submission(submission=draft, by=draft.author, at=now())


def test_nothing_is_sent_without_a_release():
    draft = actions.start_draft(by=MemberFactory(), at=now(), content={})
    with refused(InvalidField, field="release", says=["propose one"]):
        send(draft)


def test_a_first_variant_needs_a_claim():
    draft = Scene().draft()
    with refused(InvalidField, field="claims", says=["at least one detail"]):
        send(draft)


def test_a_further_variant_without_a_difference_is_refused():
    scene = Scene()
    base = scene.report(scene.anchor)
    draft = scene.draft(base=base, claims=said(scene.gull, kind="stated"))
    with refused(DifferenceMissing, field="claims", says=["what differs"]) as caught:
        send(draft)
    assert caught.value.code == "difference-missing"


def test_a_difference_names_the_variant_it_differs_from():
    scene = Scene()
    scene.report(scene.anchor)
    draft = scene.draft(claims=said(scene.gull))
    with refused(DifferenceMissing, field="differs_from", says=["known variant"]):
        send(draft)


def test_a_base_variant_that_is_gone_is_refused():
    scene = Scene()
    base = scene.report(scene.anchor)
    scene.report(scene.gull, base=base)
    draft = scene.draft(base=base, claims=said(scene.blue))
    Variant.objects.filter(pk=base.pk).update(standing="struck")
    with refused(IdentityMoved, field="differs_from"):
        send(draft)


def test_the_state_of_the_base_must_be_said_where_it_is_not_known():
    scene = Scene()
    base = scene.report(scene.anchor)
    draft = scene.draft(base=base, claims=said(scene.blue))
    with refused(InvalidField, field="claims.base_state", says=["Side stripe", base.title]):
        send(draft)


def test_the_state_of_the_base_must_not_be_said_otherwise():
    scene = Scene()
    base = scene.report(scene.anchor)
    heron = StateFactory(trait=scene.crest)
    draft = scene.draft(base=base, claims=said(scene.gull, base_state=heron.public_id))
    with refused(InvalidField, field="claims.base_state", says=[heron.name, "anchor", "dispute"]):
        send(draft)


def test_the_same_state_on_both_sides_is_no_difference():
    scene = Scene()
    base = scene.report(scene.anchor, scene.red)
    draft = scene.draft(base=base, claims=said(scene.gull, scene.red))
    with refused(InvalidField, field="claims.state", says=["red", "no difference"]):
        send(draft)


def test_a_variant_equal_to_an_existing_one_is_refused_and_named():
    scene = Scene()
    base = scene.report(scene.anchor, scene.red)
    known = scene.report(scene.gull, base=base)
    draft = scene.draft(
        base=base, by=MemberFactory(), claims=said(scene.gull) + said(scene.red, kind="alike")
    )
    with refused(TwinExists, field="claims", says=[known.title, known.shown_id]) as caught:
        send(draft)
    assert (caught.value.code, caught.value.extra) == ("twin-exists", {"twin": known.public_id})


def test_a_variant_that_is_merely_compatible_is_taken():
    scene = Scene()
    base = scene.report(scene.anchor, scene.red)
    scene.report(scene.gull, base=base)
    assert scene.report(scene.gull, scene.blue, base=base).standing == "provisional"


def test_a_report_that_says_nothing_new_is_refused():
    scene = Scene()
    variant = scene.report(scene.anchor)
    draft = actions.start_draft(
        by=MemberFactory(), at=now(), variant=variant, content={"claims": said(scene.anchor)}
    )
    with refused(InvalidField, field="claims", says=["nothing new"]):
        send(draft)


def test_a_second_dispute_of_one_claim_is_refused():
    scene = Scene()
    variant = scene.report(scene.anchor)
    heron = StateFactory(trait=scene.crest)
    content = {"claims": said(scene.gull)}
    send(actions.start_draft(by=MemberFactory(), at=now(), variant=variant, content=content))
    other = actions.start_draft(
        by=MemberFactory(), at=now(), variant=variant, content={"claims": said(heron)}
    )
    with refused(WrongMoment, says=["already open"]):
        send(other)


def test_a_report_on_a_variant_that_is_gone_is_refused():
    scene = Scene()
    variant = scene.report(scene.anchor)
    draft = actions.start_draft(
        by=MemberFactory(), at=now(), variant=variant, content={"claims": said(scene.red)}
    )
    Variant.objects.filter(pk=variant.pk).update(standing="struck")
    with refused(IdentityMoved, field="variant"):
        send(draft)


def test_a_report_on_a_release_that_was_merged_goes_to_the_survivor():
    scene = Scene()
    other = ReleaseFactory(line=scene.release.line, casting=scene.release.casting)
    draft = scene.draft(claims=said(scene.anchor))
    actions.merge(thing=scene.release, into=other, by=scene.moderator, at=now())
    assert send(draft).variant.release == Release.objects.get(pk=other.pk)


@pytest.mark.parametrize("cause", ["baseline", "magic", 7, ["altered"]])
def test_a_cause_that_is_none_is_refused(cause):
    scene = Scene()
    base = scene.report(scene.anchor)
    draft = scene.draft(base=base, claims=said(scene.gull), cause=cause)
    with refused(InvalidField, field="cause", says=[repr(cause)]):
        send(draft)


def test_a_cause_that_is_none_is_refused_of_a_first_variant_too():
    scene = Scene()
    draft = scene.draft(claims=said(scene.anchor), cause="magic")
    with refused(InvalidField, field="cause", says=["magic"]):
        send(draft)


def test_an_example_of_another_member_proves_nothing_for_a_report():
    scene = Scene()
    theirs = scene.example()
    draft = scene.draft(claims=said(scene.anchor))
    photo = scene.photo(scene.example(owner=scene.author))
    photo.submission = draft
    photo.save()
    mark = {"photo": photo.public_id, "example": theirs.public_id, "trait": scene.crest.public_id}
    for part, field in (
        ({"photos": [{"photo": photo.public_id, "examples": [theirs.public_id]}]}, "photos.examples"),
        ({"marks": [mark | {"xywh": "percent:0,0,9,9"}]}, "marks.example"),
    ):
        content = {**draft.content, **part}
        actions.edit_draft(submission=draft, by=draft.author, at=now(), content=content)
        with refused(InvalidField, field=field, says=[theirs.public_id, "another member"]):
            send(draft)


def test_an_example_of_another_release_is_refused():
    scene = Scene()
    elsewhere = ExampleFactory(owner=scene.author)
    draft = scene.draft(claims=said(scene.anchor))
    photo = scene.photo(scene.example(owner=scene.author))
    photo.submission = draft
    photo.save()
    photos = [{"photo": photo.public_id, "examples": [elsewhere.public_id]}]
    actions.edit_draft(
        submission=draft, by=draft.author, at=now(), content={**draft.content, "photos": photos}
    )
    with refused(InvalidField, field="photos.examples", says=[elsewhere.public_id, scene.release.name]):
        send(draft)


def test_a_difference_is_found_on_a_trait_that_was_merged():
    scene = Scene()
    old = TraitFactory(line=scene.release.line, key="badge", adopted_by=scene.release)
    plain = StateFactory(trait=old, key="plain")
    base = scene.report(plain)
    actions.merge(thing=old, into=scene.crest, by=scene.moderator, at=now())
    variant = scene.report(scene.gull, base=base)
    assert claim_on(variant, scene.crest).base_claim.state == plain
    assert Claim.objects.filter(variant=base).exclude(trait__key="cause").count() == 1


def test_a_report_on_a_known_variant_proposes_no_release():
    scene = Scene()
    variant = VariantFactory(release=scene.release)
    proposes = {"release": {"line": scene.release.line.public_id, "name": "Low water", "year": 2025}}
    draft = actions.start_draft(by=MemberFactory(), at=now(), variant=variant, content={"proposes": proposes})
    with refused(InvalidField, field="proposes.release", says=["Low water", "Propose no release"]):
        send(draft)


def test_a_casting_is_not_proposed_beside_a_known_release():
    scene = Scene()
    proposes = {"casting": {"maker": scene.release.line.maker.public_id, "name": "Foghorn"}}
    draft = scene.draft(claims=said(scene.anchor), proposes=proposes)
    with refused(InvalidField, field="proposes.casting", says=["Foghorn"]):
        send(draft)
    assert Submission.objects.get().status == "draft"
