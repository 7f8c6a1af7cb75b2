"""T50: what is personal goes and is found nowhere; what was contributed stays, to the byte."""

import json
import logging

import pytest
from allauth.mfa.models import Authenticator
from allauth.mfa.totp.internal.auth import TOTP
from allauth.usersessions.models import UserSession
from django.apps import apps
from django.contrib.sessions.models import Session
from django.core import serializers
from django.core.files.storage import default_storage

from registry import actions
from registry.errors import AccountClosed, InvalidField, WrongMoment
from registry.models import (
    Edition,
    Hunt,
    JournalSecret,
    KeptReply,
    Member,
    Photo,
    RoleGrant,
    Submission,
    Variant,
    Vote,
)
from registry.models.evidence import files_of
from registry.queries.export import own_data
from tests.factories import MemberFactory, ReviewerFactory
from tests.path import Scene, claim_on, now
from tests.pictures import jpeg

from .bending import first_fault
from .watching import refused
from .yard import Yard, as_stored, by_journal

pytestmark = pytest.mark.django_db
PLANTED = [
    "Gullwatcher", "gullwatcher@quay.example", "Shelf token", "cabinet-note", "draft-title", "draft-note", "vote-note",
    "mark-note", "photo-caption", "sighting-note", "dispute-reason", "suspension-reason",
    "cabinet-wear",
]  # fmt: skip


@pytest.fixture
def world(client, django_capture_on_commit_callbacks):
    """A reviewer who left a planted string in every corner, and an edition that rests on their vote and photo."""
    scene = Scene()
    member = ReviewerFactory(display_name=PLANTED[0], email=PLANTED[1])
    member.emailaddress_set.create(email=PLANTED[1], verified=True, primary=True)
    base = scene.report(scene.anchor, scene.red)
    example = scene.show(base, owner=member)
    scene.show(base)
    claim = claim_on(base, scene.crest)
    scene.vote(claim, voters=2)
    scene.vote(claim_on(base, scene.stripe))
    actions.cast_vote(claim=claim, by=member, at=now(), verdict="confirms", basis="photo", note=PLANTED[6])
    photo = example.photos.get()
    actions.describe_photo(photo=photo, by=member, at=now(), caption=PLANTED[8])
    actions.mark_region(
        photo=photo, example=example, claim=claim, xywh=(0, 0, 50, 50), by=member, at=now(), note=PLANTED[7]
    )
    with django_capture_on_commit_callbacks(execute=True):
        actions.publish_edition(by=scene.moderator, at=now())
    actions.create_token(by=member, name=PLANTED[2], scopes=["read"], at=now())
    said = {"condition": "loose", "note": PLANTED[3], "wear": PLANTED[12]}
    actions.put_item(by=member, at=now(), release=scene.release, **said)
    actions.set_hunt(by=member, at=now(), depth="release", lines=[scene.release.line])
    draft = scene.draft(by=member, title=PLANTED[4], note=PLANTED[5])
    grey = jpeg(60, 40, (119, 119, 119))
    unsent = actions.attach_photo(by=member, at=now(), submission=draft, data=grey, caption=PLANTED[8])
    actions.place_chart(
        photo=unsent, by=member, at=now(), kind="grey_card", corners=[(10, 10), (90, 10), (90, 90), (10, 90)]
    )
    actions.report_sighting(
        by=member, at=now(), release=scene.release, scope="peg", seen_on=now().date(), note=PLANTED[9],
        count_lines=[{"kind": "none_known", "n": 2}],
    )  # fmt: skip
    actions.open_dispute(
        claim=claim_on(base, scene.stripe), state=scene.blue, by=member, reason=PLANTED[10], at=now()
    )
    actions.suspend(member=member, by=scene.moderator, reason=PLANTED[11], at=now())
    actions.reinstate(member=member, by=scene.moderator, reason=PLANTED[11], at=now())
    KeptReply.objects.create(
        member=member,
        method="POST",
        path="/v1/x",
        key="k",
        request_digest="d",
        body=PLANTED[2],
        created_at=now(),
    )
    TOTP.activate(member, "JBSWY3DPEHPK3PXPJBSWY3DPEHPK3PXP")
    client.force_login(member)
    UserSession.objects.create(user=member, ip="203.0.113.7", session_key=client.session.session_key)
    scene.member = Member.objects.get(pk=member.pk)
    return scene


def dump() -> str:
    """Every row of every table there is, with the published files."""
    rows = [row for model in apps.get_models(include_auto_created=True) for row in model._base_manager.all()]
    sessions = [session.get_decoded() for session in Session.objects.all()]
    files = [
        actions.edition_file(edition, name).read_bytes().hex()
        for edition in Edition.objects.all()
        for name in actions.FILES
    ]
    return serializers.serialize("json", rows) + json.dumps(sessions) + "".join(files)


def left(text: str) -> list[str]:
    return [word for word in PLANTED if word in text or word.encode().hex() in text]


def test_T50_every_planted_string_is_there_before(world):
    assert left(dump()) == PLANTED
    assert left(json.dumps(own_data(world.member), default=str)) == PLANTED


def test_T50_none_of_the_planted_strings_is_left_anywhere(world, caplog):
    with caplog.at_level(logging.DEBUG):
        actions.erase_member(by=world.member, at=now())
    assert left(dump()) == []
    assert left(caplog.text) == []
    assert left(json.dumps(own_data(Member.objects.get(pk=world.member.pk)), default=str)) == []
    assert not JournalSecret.objects.exists()
    assert not Session.objects.exists()
    assert not UserSession.objects.exists()
    assert not Authenticator.objects.exists()


def test_T50_editions_tallies_and_standings_are_as_before(world):
    edition = Edition.objects.get()
    before = {name: actions.edition_file(edition, name).read_bytes() for name in actions.FILES}
    records = dict(Variant.objects.values_list("public_id", "record_digest"))
    stored = as_stored(world.release)
    actions.erase_member(by=world.member, at=now())
    assert {name: actions.edition_file(edition, name).read_bytes() for name in actions.FILES} == before
    assert actions.publish.edition_files(edition) == before
    assert dict(Variant.objects.values_list("public_id", "record_digest")) == records
    assert as_stored(world.release) == stored
    assert Vote.objects.current().filter(by=world.member, counts=True).count() == 1


def test_T50_the_journal_verifies(world):
    actions.erase_member(by=world.member, at=now())
    assert first_fault() is None


def test_T50_the_journal_alone_still_gives_every_standing_and_fewer_reviewers_are_judged_anew():
    yard = Yard()
    yard.baseline()
    for reviewer in yard.reviewers[:3]:
        actions.erase_member(by=reviewer, at=now())
        assert by_journal(yard.release) == as_stored(yard.release)
    assert as_stored(yard.release)["founding"]
    assert first_fault() is None


def test_T50_drafts_go_with_their_photos_and_files(world, django_capture_on_commit_callbacks):
    photo = Photo.objects.get(submission__sent_at=None)
    with django_capture_on_commit_callbacks(execute=True):
        actions.erase_member(by=world.member, at=now())
    assert not Photo.objects.filter(pk=photo.pk).exists()
    assert not Submission.objects.filter(author=world.member, sent_at=None).exists()
    assert not any(map(default_storage.exists, files_of(photo.digest)))
    assert Photo.objects.get(owner=world.member).submission.sent_at


def test_T50_nobody_is_left_who_could_sign_in(world, client):
    password_before = world.member.password
    actions.erase_member(by=world.member, at=now())
    member = Member.objects.get(pk=world.member.pk)
    assert not member.is_active
    assert not member.has_usable_password()
    assert member.password != password_before
    assert not member.tokens.exists()
    assert not member.roles
    assert RoleGrant.objects.get(member=member).revoked_at
    assert client.get("/account").status_code == 302
    with refused(AccountClosed):
        actions.erase_member(by=member, at=now())


def test_an_erased_account_is_not_opened_again(world):
    actions.erase_member(by=world.member, at=now())
    with refused(WrongMoment, field="member", says=["erased"]):
        actions.reinstate(member=world.member, by=world.moderator, reason="Come back.", at=now())


def test_votes_are_a_former_contributors_and_the_name_is_free_again(world):
    actions.erase_member(by=world.member, at=now())
    member = Member.objects.get(pk=world.member.pk)
    assert (str(member), member.credit) == ("former contributor", "uncredited")
    assert member.shown_id in member.display_name
    assert MemberFactory(display_name=PLANTED[0]).name_key == "gullwatcher"


def test_a_name_that_is_kept_as_a_credit_stays_taken(world):
    actions.erase_member(by=world.member, at=now(), credit="keep")
    member = Member.objects.get(pk=world.member.pk)
    assert (str(member), member.credit) == ("former contributor", PLANTED[0])
    assert left(dump()) == [PLANTED[0]]
    assert Member.objects.filter(name_key="gullwatcher").exists()


def test_another_credit_is_refused(world):
    with refused(InvalidField, field="credit", says=["uncredited", "keep"]):
        actions.erase_member(by=world.member, at=now(), credit="partly")


def test_what_others_have_is_untouched(world):
    other = MemberFactory()
    actions.put_item(by=other, at=now(), release=world.release, condition="loose", note="mine")
    draft = world.draft(by=other, title="Mine")
    actions.suspend(member=ReviewerFactory(), by=world.moderator, reason="Another matter.", at=now())
    actions.erase_member(by=world.member, at=now())
    assert other.cabinet.get().note == "mine"
    assert not Hunt.objects.exists()
    assert Submission.objects.get(pk=draft.pk).content == {"title": "Mine"}
    assert JournalSecret.objects.get().value == "Another matter."
