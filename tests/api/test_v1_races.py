"""Requests that arrive together (T40, T42, T46), each over a connection of its own."""

import hashlib
from collections.abc import Callable
from functools import partial
from typing import Any

import pytest

from registry.models import KeptReply, Maker, Submission, Vote
from tests.actions.bending import first_fault
from tests.factories import ModeratorFactory, ReviewerFactory
from tests.path import Scene, claim_on
from tests.racing import ROUNDS, at_once

from .caller import Caller

pytestmark = pytest.mark.django_db(transaction=True)


def together(number: int, ask: Callable[[int], Any]) -> list[Any]:
    """Ask that often at the same moment."""
    return at_once([partial(ask, n) for n in range(number)])


def test_T46_ten_posts_with_one_key_make_one_thing():
    moderator = Caller(ModeratorFactory())
    answers = together(10, lambda n: moderator.post("/v1/makers", {"name": "Otterholm Tinworks"}, key="one"))
    assert {answer.status_code for answer in answers} <= {201, 409}
    made = [answer for answer in answers if answer.status_code == 201]
    assert len({answer.content for answer in made}) == 1
    assert [("Idempotency-Replayed" in answer) for answer in made].count(False) == 1
    for answer in answers:
        if answer.status_code == 409:
            assert answer.json()["type"] == "/v1/problems/idempotency-in-progress"
            assert answer["Retry-After"] == "1"
    assert (Maker.objects.count(), KeptReply.objects.count()) == (1, 1)
    again = moderator.post("/v1/makers", {"name": "Otterholm Tinworks"}, key="one")
    assert again["Idempotency-Replayed"] == "true"


def test_T46_in_every_round_one_of_the_twins_acts_and_a_lost_answer_is_given_again():
    moderator = Caller(ModeratorFactory())
    for n in range(ROUNDS):
        said, key = {"name": hashlib.sha256(str(n).encode()).hexdigest()[:16]}, f"round-{n}"
        answers = together(3, lambda _, said=said, key=key: moderator.post("/v1/makers", said, key=key))
        assert {answer.status_code for answer in answers} <= {201, 409}
        assert (
            sum(answer.status_code == 201 and "Idempotency-Replayed" not in answer for answer in answers) == 1
        )
        again = moderator.post("/v1/makers", said, key=key)  # the effect is there, the first answer was lost
        assert (again.status_code, again["Idempotency-Replayed"]) == (201, "true")
        assert Maker.objects.count() == n + 1
    assert first_fault() is None


def test_T42_twenty_patches_of_one_copy_make_one_change():
    scene = Scene()
    author = Caller(scene.author)
    draft = author.post("/v1/submissions", {"release": scene.release.public_id})
    address, etag = draft["Location"], draft["ETag"]
    answers = together(20, lambda n: author.patch(address, {"content": {"title": f"title {n}"}}, match=etag))
    statuses = [answer.status_code for answer in answers]
    assert (statuses.count(200), statuses.count(412)) == (1, 19)
    winner = next(answer for answer in answers if answer.status_code == 200)
    assert author.get(address).json()["content"] == winner.json()["content"]
    assert Submission.objects.get().revision == 2


def test_T40_fifty_equal_votes_are_one_vote():
    scene = Scene()
    claim = claim_on(scene.report(scene.anchor), scene.crest)
    reviewer = Caller(ReviewerFactory())
    vote = {"verdict": "confirms", "basis": "photo"}
    answers = together(
        25, lambda n: [reviewer.put(f"/v1/claims/{claim.public_id}/vote", vote) for _ in range(2)]
    )
    assert {answer.status_code for pair in answers for answer in pair} == {200}
    assert Vote.objects.current().count() == 1
    tally = reviewer.get(f"/v1/claims/{claim.public_id}").json()["votes"]
    assert tally == {"confirms": 1, "contradicts": 0, "cannot_tell": 0}
