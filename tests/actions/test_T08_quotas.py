"""T08: what an account may send in a day, by what others have confirmed of it."""

from datetime import timedelta
from functools import partial
from pathlib import Path

import pytest

from registry import actions
from registry.errors import InvalidField, TooMany
from registry.methods import guards
from registry.models import Claim, Submission
from tests.actions.watching import refused
from tests.factories import (
    ClaimFactory,
    MemberFactory,
    ModeratorFactory,
    PhotoFactory,
    ReleaseFactory,
    ReviewerFactory,
    SightingFactory,
    SubmissionFactory,
)
from tests.path import Scene, now
from tests.pictures import jpeg

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def as_in_real_life(settings):
    settings.CASTLORE_QUOTA_FACTOR = 1


@pytest.fixture
def scene():
    return Scene()


def draft(scene, by, n):
    state = actions.add_state(by=scene.moderator, at=now(), trait=scene.crest, key=f"s{n}", name=f"sign {n}")
    base = scene.release.variants.first()
    return scene.draft(
        by=by, base=base, claims=[{"trait": scene.crest.public_id, "state": state.public_id,
                                   "kind": "difference" if base else "stated"}])  # fmt: skip


def send(scene, by, n, at=None):
    return actions.send_submission(submission=draft(scene, by, n), by=by, at=at or now())


def test_T08_the_fourth_report_of_a_new_account_is_too_many_until_a_day_after_the_first(scene):
    new, start = MemberFactory(), now()
    for n in range(3):
        send(scene, new, n, at=start)
    fourth = draft(scene, new, 4)
    at = start + timedelta(hours=9)
    with refused(TooMany, says=["3 submissions in 24 hours", "UTC on 2 June"]) as caught:
        actions.send_submission(submission=fourth, by=new, at=at)
    assert caught.value.retry_after == 15 * 3600
    sent = actions.send_submission(submission=fourth, by=new, at=start + guards.QUOTA_WINDOW)
    assert sent.status == "sent"


def sent_three(by):
    for _ in range(3):
        SubmissionFactory(author=by, sent_at=now())


def confirmed_once():
    member = MemberFactory()
    ClaimFactory(author=member, standing="confirmed")
    return member


@pytest.mark.parametrize("who", [confirmed_once, ReviewerFactory, ModeratorFactory])
def test_T08_who_has_been_confirmed_or_holds_a_role_may_send_more(scene, who):
    by = who()
    sent_three(by)
    assert send(scene, by, 1).variant


def test_T08_a_moderator_may_send_as_many_as_they_like(scene):
    by = ModeratorFactory()
    for _ in range(70):
        SubmissionFactory(author=by, sent_at=now())
    assert send(scene, by, 1).variant


def fill(kind, scene, by):
    """As many as a new account may send."""
    count = guards.QUOTAS[kind]["new"]
    rows = {
        "drafts": partial(SubmissionFactory, author=by, created_at=now()),
        "photos": partial(PhotoFactory, owner=by, added_at=now()),
        "sightings": partial(SightingFactory, by=by, added_at=now()),
        "disputes": lambda: dispute(ClaimFactory(variant__release=scene.release), by),
    }
    for _ in range(count):
        rows[kind]()


def dispute(claim, by):
    state = actions.add_state(
        by=ModeratorFactory(), at=now(), trait=claim.trait, key="other", name="quite another"
    )
    return actions.open_dispute(claim=claim, state=state, by=by, reason="Another.", at=now())


ONE_MORE = {
    "drafts": lambda scene, by: actions.start_draft(by=by, at=now(), release=scene.release),
    "photos": lambda scene, by: actions.attach_photo(
        by=by, at=now(), data=jpeg(), submission=Submission.objects.filter(author=by).first()
    ),
    "sightings": lambda scene, by: actions.report_sighting(
        by=by, at=now(), release=scene.release, scope="peg", seen_on=now().date(),
        count_lines=[{"kind": "none_known", "n": 1}]),
    "disputes": lambda scene, by: actions.open_dispute(
        by=by, at=now(), claim=Claim.objects.filter(author=scene.author, trait=scene.crest).get(),
        state=scene.gull, reason="A gull."),
}  # fmt: skip


@pytest.mark.parametrize("kind", ONE_MORE)
def test_T08_the_same_holds_of_drafts_photos_sightings_and_disputes(scene, kind):
    scene.report(scene.anchor)
    new, other = MemberFactory(), MemberFactory()
    for by in (new, other):
        SubmissionFactory(author=by, created_at=now() - timedelta(days=9))
    fill(kind, scene, new)
    with refused(TooMany, says=[kind]):
        ONE_MORE[kind](scene, new)
    assert ONE_MORE[kind](scene, other).pk


def test_T08_pictures_that_are_refused_leave_no_file_and_are_counted_too(settings, monkeypatch):
    scene, by = Scene(), MemberFactory()
    elsewhere = scene.example(by)
    monkeypatch.setattr("registry.actions.quotas.TRIES", 3)
    sent = SubmissionFactory(author=by, release=ReleaseFactory())
    for n in range(3):
        with pytest.raises(InvalidField):
            actions.attach_photo(by=by, at=now(), data=jpeg(20 + n), submission=sent, examples=[elsewhere])
    assert not list(Path(settings.MEDIA_ROOT).rglob("*.jpg"))
    with pytest.raises(TooMany):
        actions.attach_photo(by=by, at=now(), data=jpeg(30), submission=sent)
