"""T02: the database refuses a vote on what the voter brought in, whatever program writes it."""

import pytest
from django.db import IntegrityError, connection, transaction

from registry import actions
from registry.models import PhotoExample, Vote, own_votes
from tests.factories import MemberFactory, ModeratorFactory, PhotoFactory, VoteFactory
from tests.path import Scene, claim_on, now

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene():
    return Scene()


def sent_by(scene, author):
    return claim_on(scene.report(scene.anchor, scene.red, by=author), scene.crest)


def slip_in(**said):
    with pytest.raises(IntegrityError, match="nobody votes on what they brought in"), transaction.atomic():
        VoteFactory(**said)


@pytest.mark.parametrize("who", [MemberFactory, ModeratorFactory])
def test_T02_a_row_with_the_submitters_vote_is_refused(scene, who):
    author = who()
    claim = sent_by(scene, author)
    slip_in(claim=claim, by=author)
    slip_in(claim=claim, by=author, counts=False)
    assert not Vote.objects.exists()


def test_T02_a_row_with_the_vote_of_a_photos_owner_is_refused(scene):
    claim, owner = sent_by(scene, scene.author), MemberFactory()
    PhotoFactory(submission=claim.submission, owner=owner)
    slip_in(claim=claim, by=owner)


def test_T02_a_row_with_the_vote_of_who_brought_a_disputes_photo_is_refused_on_its_rival(scene):
    claim, owner = sent_by(scene, scene.author), MemberFactory()
    dispute = actions.open_dispute(
        claim=claim, state=scene.gull, by=MemberFactory(), reason="A gull.", at=now()
    )
    PhotoFactory(submission=None, dispute=dispute, owner=owner)
    slip_in(claim=dispute.rival, by=owner)
    slip_in(claim=dispute.rival, by=dispute.opened_by)


def test_T02_a_vote_cannot_be_made_somebody_elses_afterwards(scene):
    claim = sent_by(scene, scene.author)
    vote = VoteFactory(claim=claim)
    with pytest.raises(IntegrityError), transaction.atomic():
        Vote.objects.filter(pk=vote.pk).update(by=scene.author)


def test_T02_an_owner_who_names_an_example_of_theirs_may_and_anothers_does_not_help(scene):
    claim = sent_by(scene, scene.author)
    theirs, anothers = scene.example(owner=scene.author), scene.example()
    slip_in(claim=claim, by=scene.author, example=anothers)
    assert VoteFactory(claim=claim, by=scene.author, example=theirs).pk


def test_T02_others_vote_as_ever(scene):
    claim = sent_by(scene, scene.author)
    assert VoteFactory(claim=claim).pk
    assert not PhotoExample.objects.exists()


def test_the_trigger_is_lifted_and_put_back_around_migrations(scene):
    claim = sent_by(scene, scene.author)
    own_votes.lift(connection)
    VoteFactory(claim=claim, by=scene.author).delete()
    own_votes.install(connection)
    own_votes.install(connection)
    slip_in(claim=claim, by=scene.author)
