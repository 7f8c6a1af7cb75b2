"""One answer to a dispute: a vote on one side or on both, together or not at all."""

from unittest.mock import patch

import pytest

from registry import actions
from registry.errors import InvalidField, OwnSubmission
from registry.models import Vote
from tests.factories import MemberFactory
from tests.path import Scene, claim_on, now

from .watching import journal_lines, refused

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene() -> Scene:
    return Scene()


@pytest.fixture
def dispute(scene):
    base = scene.baseline()
    opener = MemberFactory()
    return actions.open_dispute(
        claim=claim_on(base, scene.crest), state=scene.gull, by=opener, reason="A gull.", at=now()
    )


def answer(dispute, by, side, **said):
    return actions.vote_on_sides(dispute=dispute, side=side, by=by, at=now(), **{"basis": "photo"} | said)


def current(by):
    return dict(Vote.objects.current().filter(by=by).values_list("claim__state__name", "verdict"))


def test_an_answer_on_both_sides_is_two_votes_settled_once(scene, dispute):
    voter = scene.reviewers[4]
    with patch("registry.actions.vote.settle_release", wraps=actions.settle_release) as settled:
        answer(dispute, voter, "neither")
    assert settled.call_count == 1
    assert current(voter) == {"anchor": "contradicts", "gull": "contradicts"}


def test_sent_again_nothing_is_added(scene, dispute):
    voter = scene.reviewers[4]
    first = answer(dispute, voter, "cannot_tell", note="Too dark.")
    with journal_lines() as lines:
        again = answer(dispute, voter, "cannot_tell", note="Too dark.")
    assert ([vote.pk for vote in again], lines) == ([vote.pk for vote in first], [])


def test_a_refusal_on_the_second_side_leaves_no_vote_on_the_first(scene, dispute):
    with refused(OwnSubmission):
        answer(dispute, dispute.opened_by, "neither")


def test_an_answer_that_there_is_not_is_refused(scene, dispute):
    with refused(InvalidField, field="side", says=["claim, rival, neither, cannot_tell"]):
        answer(dispute, scene.reviewers[4], "both")


def test_a_dispute_of_an_order_is_answered_on_its_statement(scene, dispute):
    base = dispute.claim.variant
    other = scene.report(scene.gull, base=base)
    said = actions.make_statement(
        by=scene.author, at=now(), release=scene.release, kind="before", variant=base, other=other,
        source_kind="makers_notice", source="a trade sheet",
    )  # fmt: skip
    doubted = actions.open_dispute(statement=said, by=scene.reviewers[0], reason="The other way.", at=now())
    with refused(InvalidField, field="dispute"):
        answer(doubted, scene.reviewers[4], "claim")
