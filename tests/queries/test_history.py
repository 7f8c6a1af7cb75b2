"""The timeline of a variant: sentences with who, when, why and on what evidence; votes only where they may be seen."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from registry import actions
from registry.models import ModeratorEvent
from registry.queries import history as timeline
from registry.queries.history import history
from tests.factories import MemberFactory
from tests.path import Scene, claim_on, now

from .test_then import correct

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene():
    return Scene()


def sentences(variant, reader=None):
    return [event.what for event in history(variant, reader)]


def test_it_tells_the_way_to_verified_newest_first(scene):
    base = scene.baseline()
    told = sentences(base)
    assert told[0] == (
        "Roof crest: anchor became confirmed; Side stripe: red became confirmed; the variant became verified"
    )
    for one in (
        "reported it",
        "claimed Roof crest: anchor; Side stripe: red",
        "wrote revision 1",
        "marked where a photo shows Roof crest: anchor",
        "voted on Roof crest: anchor: confirms, by the photos only",
    ):
        assert one in told, (one, told)
    times = [event.at for event in history(base, None)]
    assert times == sorted(times, reverse=True)


def test_a_dispute_is_told_from_its_reason_to_its_end_with_its_photos(scene):
    base = scene.baseline()
    opened = correct(scene, base)
    events = history(base, None)
    by_sentence = {event.what: event for event in events}
    disputed = by_sentence["disputed Roof crest: anchor, and saw gull instead"]
    assert (disputed.by, disputed.why, disputed.about) == (scene.author, "It is a gull.", opened)
    assert "The dispute of Roof crest: anchor ended: corrected to gull" in by_sentence
    assert "It no longer says Roof crest: anchor" in by_sentence
    assert by_sentence["wrote revision 2"].why == "Corrected Roof crest: from anchor to gull."
    brought = [event for event in events if event.what == "brought a photo"]
    assert [photo for event in brought for photo in event.photos] == list(opened.photos.all())


def test_votes_on_an_undecided_claim_are_told_only_to_who_has_voted(scene):
    base = scene.report(scene.anchor)
    scene.vote(claim_on(base, scene.crest), voters=2)
    for reader in (None, scene.author, scene.moderator, scene.reviewers[3]):
        assert not any("voted" in one for one in sentences(base, reader))
    told = [event for event in history(base, scene.reviewers[0]) if "voted" in event.what]
    assert {event.by for event in told} == set(scene.reviewers[:2])


def test_a_vote_that_was_changed_is_kept_and_one_that_never_counted_is_not_told(scene):
    base = scene.baseline()
    claim, member = claim_on(base, scene.crest), scene.reviewers[0]
    actions.cast_vote(claim=claim, by=member, at=now(), verdict="cannot_tell", basis="photo")
    actions.cast_vote(claim=claim, by=scene.reviewers[5], at=now(), verdict="confirms", basis="photo")
    actions.cast_vote(claim=claim, by=MemberFactory(), at=now(), verdict="contradicts", basis="photo")
    told = [(event.by, event.what) for event in history(base, None) if "Roof crest" in event.what]
    assert (member, "changed or took back that vote on Roof crest: anchor") in told
    assert (member, "voted on Roof crest: anchor: cannot tell, by the photos only") in told
    assert not any("contradicts" in what for _, what in told)


def test_marks_and_photos_that_went_are_told_and_not_shown(scene):
    base = scene.report(scene.anchor)
    photo = scene.show(base).photos.get()
    actions.take_down_photo(photo=photo, by=scene.moderator, at=now(), reason="A face in the window.")
    events = history(base, None)
    marked = next(event for event in events if event.what.startswith("marked where"))
    assert marked.photos == []
    assert not any("face" in event.what + event.why for event in events)


def test_what_moderators_did_is_told_with_the_reason(scene):
    base = scene.report(scene.anchor)
    said = {"reason": "A custom build.", "reason_code": "customised"}
    ModeratorEvent(variant=base, kind="struck", by=scene.moderator, at=now(), **said).save()
    event = history(base, None)[0]
    assert (event.what, event.why, event.by) == ("struck it", "A custom build.", scene.moderator)


def test_a_long_history_is_told_in_parts(scene, monkeypatch):
    base = scene.baseline()
    whole = history(base, None)
    monkeypatch.setattr(timeline, "MOST", 5)
    newest = history(base, None)
    assert newest == whole[:5]
    earlier = history(base, None, before=newest[-1].at)
    assert earlier == [event for event in whole if event.at < newest[-1].at][:5]


def test_it_costs_the_same_however_much_happened(scene):
    base = scene.baseline()

    def queries():
        with CaptureQueriesContext(connection) as captured:
            history(base, scene.reviewers[5])
        return len(captured)

    few = queries()
    correct(scene, base)
    scene.show(base)
    scene.change(base, scene.anchor)
    assert queries() == few == 8
