"""A variant as it stood, at revisions and between them, and what differs from one point to another."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from registry import actions
from registry.models import Claim, Variant
from registry.queries.then import differences, past
from tests.factories import NOON, ReleaseFactory
from tests.path import Scene, claim_on, now

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene():
    return Scene()


def stood(variant, point):
    was = then(variant, point)
    return was.standing, {one.claim.state.name: one.standing for one in was.claims}


def then(variant, point):
    return past(variant).then(point)


def differ(variant, before, after):
    known = past(variant)
    return differences(known, known.then(before), known.then(after))


def correct(scene, variant, reason="It is a gull."):
    """The crest is disputed with a photo, and the votes correct it. Answers the dispute."""
    opened = actions.open_dispute(
        claim=claim_on(variant, scene.crest), state=scene.gull, by=scene.author, reason=reason, at=now()
    )
    example = scene.example()
    scene.mark(opened.rival, scene.photo(example, dispute=opened), example)
    scene.vote(opened.rival, voters=4)
    opened.refresh_from_db()
    assert opened.outcome == "corrected"
    return opened


def test_before_it_was_reported_there_is_nothing(scene):
    base = scene.report(scene.anchor)
    assert then(base, NOON - timedelta(days=1)) is None
    assert then(base, 2) is None


def test_each_vote_and_mark_later_it_stood_as_the_rows_said_then(scene):
    """Against the stored standings themselves, read after every step."""
    base = scene.report(scene.anchor, scene.red)
    kept = []

    def note():
        rows = Claim.objects.open().filter(variant=base)
        words = {claim.state.name: claim.standing for claim in rows.select_related("state")}
        kept.append((now(), (Variant.objects.get(pk=base.pk).standing, words)))

    note()
    for _ in range(2):
        scene.show(base)
        note()
    for trait in (scene.crest, scene.stripe):
        for reviewer in scene.reviewers[:3]:
            actions.cast_vote(
                claim=claim_on(base, trait), by=reviewer, at=now(), verdict="confirms", basis="photo"
            )
            note()
    opened = correct(scene, base)
    note()
    assert {words[0] for _, words in kept} >= {"provisional", "verified"}
    for at, words in kept:
        assert stood(base, at) == words
    assert stood(base, opened.closed_at)[1]["gull"] == "confirmed"


def test_while_a_dispute_contested_it_it_stood_contested(scene):
    base = scene.baseline()
    opened = correct(scene, base)
    between = opened.closed_at - timedelta(microseconds=1)
    was = then(base, between)
    assert was.standing == "contested"
    crest = next(one for one in was.claims if one.claim.state == scene.anchor)
    assert (crest.standing, crest.disputes) == ("disputed", [opened])
    assert then(base, now()).claims[0].disputes == []


def test_a_revision_stands_as_when_it_was_written_and_keeps_its_claims(scene):
    base = scene.baseline()
    correct(scene, base)
    assert stood(base, 1)[0] == "provisional"
    assert set(stood(base, 1)[1].values()) == {"open"}
    assert {"anchor", "red"} < set(stood(base, 1)[1])
    assert stood(base, 2)[1]["gull"] == "confirmed"


def test_marks_count_from_when_they_were_drawn_until_they_were_removed(scene):
    base = scene.report(scene.anchor)
    before = now()
    mark = scene.show(base).marks.get()
    between = now()
    actions.remove_mark(mark=mark, by=mark.by, at=now(), reason="It shows the shadow.")
    shown = [[m for one in then(base, at).claims for m in one.marks] for at in (before, between, now())]
    assert shown == [[], [mark], []]


def test_a_release_that_was_merged_takes_its_history_along(scene):
    base, verified_at = scene.baseline(), now()
    other = ReleaseFactory(line=scene.release.line, casting=scene.release.casting)
    actions.merge(thing=scene.release, into=other, by=scene.moderator, at=now())
    base.refresh_from_db()
    assert base.release == other
    assert stood(base, verified_at)[0] == "verified"


def test_a_correction_is_told_with_who_why_and_the_photos(scene):
    base = scene.baseline()
    verified_at = now()
    opened = correct(scene, base)
    found = {one.what: one for one in differ(base, verified_at, 2)}
    crest = found["Roof crest"]
    assert (crest.before, crest.after) == ("anchor", "gull")
    assert (crest.before_standing, crest.after_standing) == ("confirmed", "confirmed")
    assert (crest.by, crest.why) == (scene.author, "It is a gull.")
    assert crest.photos == list(opened.photos.all())
    assert (crest.claim_before, crest.claim_after) == (opened.claim, opened.rival)
    assert "Side stripe" not in found


def test_between_two_dates_without_a_new_revision_standings_differ_alone(scene):
    base = scene.report(scene.anchor, scene.red)
    sent = now()
    scene.verify(base)
    found = {one.what: one for one in differ(base, sent, now())}
    assert (found["Standing"].before, found["Standing"].after) == ("provisional", "verified")
    assert (found["Roof crest"].before, found["Roof crest"].after) == ("anchor", "anchor")
    assert (found["Roof crest"].before_standing, found["Roof crest"].after_standing) == ("open", "confirmed")
    assert differ(base, 1, 1) == []


def test_a_claim_added_is_not_stated_before_and_the_other_way_round(scene):
    base = scene.report(scene.anchor)
    content = {"claims": [{"trait": scene.wheels.public_id, "state": scene.black.public_id}]}
    draft = actions.start_draft(by=scene.author, at=now(), variant=base, content=content)
    actions.send_submission(submission=draft, by=scene.author, at=now())
    added = differ(base, 1, 2)
    assert [(one.what, one.before, one.after, one.by) for one in added] == [
        ("Wheels", "not stated", "black", scene.author)
    ]
    removed = differ(base, 2, 1)
    assert [(one.before, one.after, one.claim_after) for one in removed] == [("black", "not stated", None)]


def test_it_costs_the_same_however_long_the_history(scene):
    base = scene.report(scene.anchor, scene.red)

    def queries():
        with CaptureQueriesContext(connection) as captured:
            differ(base, 1, now())
        return len(captured)

    few = queries()
    scene.verify(base)
    correct(scene, base)
    scene.change(base, scene.anchor)
    assert queries() == few == 5
