"""The page of a variant, and the readable difference between two of its revisions."""

import pytest

from registry import actions
from registry.models import Revision
from registry.queries.pages import Change, changes_between, changes_by, variant_page, verdict_words
from tests.factories import MemberFactory, SightingFactory, TraitFactory
from tests.path import Scene, claim_on, now

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene():
    return Scene()


@pytest.fixture
def variant(scene):
    return scene.report(scene.anchor, scene.red)


def add(scene, variant, state):
    content = {"claims": [{"trait": state.trait.public_id, "state": state.public_id}]}
    draft = actions.start_draft(by=MemberFactory(), at=now(), variant=variant, content=content)
    actions.send_submission(submission=draft, by=draft.author, at=now())


def correct(scene, variant, trait, state):
    opened = actions.open_dispute(
        claim=claim_on(variant, trait), state=state, by=MemberFactory(), reason="Another.", at=now()
    )
    example = scene.example()
    scene.mark(opened.rival, scene.photo(example), example)
    scene.vote(opened.rival, voters=4)


def revisions(variant):
    return list(Revision.objects.filter(variant=variant).order_by("number"))


def test_differences_come_first_and_rivals_apart(scene, variant):
    add(scene, variant, scene.black)
    opened = actions.open_dispute(
        claim=claim_on(variant, scene.crest), state=scene.gull, by=MemberFactory(), reason="A gull.", at=now()
    )
    page = variant_page(variant)
    assert [entry.claim.is_difference for entry in page.claims] == [True, True, False, False]
    assert [entry.claim for entry in page.rivals] == [opened.rival]
    disputed = [entry.claim for entry in [*page.claims, *page.rivals] if entry.dispute == opened]
    assert disputed == [opened.claim, opened.rival]


def test_only_counted_votes_are_tallied(scene, variant):
    claim = claim_on(variant, scene.crest)
    scene.vote(claim, voters=2)
    scene.vote(claim, verdict="cannot_tell", voters=1)
    actions.cast_vote(claim=claim, by=MemberFactory(), at=now(), verdict="contradicts", basis="photo")
    tally = next(
        entry.tally for entry in variant_page(variant, scene.reviewers[0]).claims if entry.claim == claim
    )
    assert tally == {"confirms": 1, "cannot_tell": 1}
    assert verdict_words(tally) == "1 confirm, 1 cannot tell"


def test_marks_that_stand_are_beside_their_claims(scene, variant):
    example = scene.show(variant)
    marks = [mark for entry in variant_page(variant).claims for mark in entry.marks]
    assert {mark.example for mark in marks} == {example}
    actions.remove_mark(mark=marks[0], by=marks[0].by, at=now(), reason="It shows the shadow.")
    assert len([mark for entry in variant_page(variant).claims for mark in entry.marks]) == 1


def test_ended_disputes_stay_on_the_page_and_claims_that_closed_do_not(scene, variant):
    correct(scene, variant, scene.crest, scene.gull)
    page = variant_page(variant)
    assert [dispute.outcome for dispute in page.disputes] == ["corrected"]
    assert {entry.claim.state for entry in page.claims} >= {scene.gull, scene.red}
    assert [entry.dispute for entry in page.claims] == [None] * len(page.claims)
    newest, first = changes_by(revisions(variant)[::-1], page.ever)
    assert (newest[0].number, newest[1]) == (2, [Change("Roof crest", "anchor", "gull")])
    assert (first[0].number, first[1]) == (1, [])


def test_sightings_that_were_taken_back_are_not_on_the_page(scene, variant):
    kept = SightingFactory(release=scene.release)
    gone = SightingFactory(release=scene.release, withdrawn_at=now())
    for sighting in (kept, gone):
        line = sighting.count_lines.create(kind="variant", n=1)
        line.variants.add(variant)
    assert [line.sighting for line in variant_page(variant).count_lines] == [kept]


def test_a_correction_reads_as_from_and_to(scene, variant):
    correct(scene, variant, scene.crest, scene.gull)
    assert changes_between(*revisions(variant)) == [Change("Roof crest", "anchor", "gull")]


def test_a_claim_added_reads_as_not_stated_before(scene, variant):
    add(scene, variant, scene.black)
    first, second = revisions(variant)
    assert changes_between(first, second) == [Change("Wheels", "not stated", "black")]
    assert changes_between(second, first) == [Change("Wheels", "black", "not stated")]


def test_a_new_title_and_nicknames_are_said(scene, variant):
    first = revisions(variant)[0]
    second = Revision(
        variant=variant, number=2, parent=first, claims=first.claims, title="Hook", nicknames=["a", "b"],
        reason="Renamed.", at=now(), digest="1" * 64,
    )  # fmt: skip
    assert changes_between(first, second) == [
        Change("Title", first.title, "Hook"),
        Change("Nicknames", "", "a, b"),
    ]


def test_two_traits_of_one_name_are_told_apart(scene, variant):
    other = TraitFactory(
        line=None, casting=scene.release.casting, name="Roof crest", adopted_by=scene.release
    )
    heron = other.states.create(key="heron", name="heron")
    add(scene, variant, heron)
    first, second = revisions(variant)
    assert changes_between(first, second) == [Change("Roof crest", "not stated", "heron")]


def test_a_merged_trait_is_no_difference(scene, variant):
    badge = TraitFactory(line=scene.release.line, key="badge", name="Badge", adopted_by=scene.release)
    add(scene, variant, badge.states.create(key="anchor", name="anchor"))
    actions.merge(thing=scene.crest, into=badge, by=scene.moderator, at=now())
    first, second, third = revisions(variant)
    assert changes_between(second, third) == []
    assert changes_between(first, third) == []
