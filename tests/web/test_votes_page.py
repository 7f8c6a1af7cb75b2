"""How far votes are trusted: what everybody reads, and what one reviewer reads of their own votes alone."""

import pytest

from registry import actions
from registry.models import FitRate
from tests.factories import ReviewerFactory
from tests.path import Scene, claim_on, now

pytestmark = pytest.mark.django_db


def confused_scene() -> Scene:
    """Reviewers who are at odds over the crest on six claims, and of one mind about the stripe; a fit in force."""
    scene = Scene()
    base = scene.baseline()
    for n in range(5):
        state = actions.add_state(
            by=scene.moderator, at=now(), trait=scene.stripe, key=f"b{n}", name=f"band {n}"
        )
        variant = scene.report(scene.gull, state, base=base, cause="running_change")
        claim = claim_on(variant, scene.crest)
        scene.vote(claim, voters=2)
        for reviewer in scene.reviewers[2:5]:
            actions.cast_vote(
                claim=claim,
                by=reviewer,
                at=now(),
                verdict="contradicts",
                basis="photo",
                state_seen=scene.anchor,
            )
    actions.adopt_fit(fit=actions.make_fit(at=now()), at=now(), reason="The votes of this month.")
    return scene


def test_before_anything_is_learnt_all_votes_count_the_same(client):
    Scene()
    text = client.get("/how/votes").text
    assert "everybody’s count the same: with the item in hand 85 of 100" in text
    assert "from photographs 80." in text


def test_everybody_reads_the_fit_in_force_and_what_is_hard_to_judge(client):
    scene = confused_scene()
    text = client.get("/how/votes").text
    assert "Fit 1, learnt from 31 votes by 5 reviewers on 7 details" in text
    assert "The votes of this month." in text
    assert f'<a href="/traits/{scene.crest.public_id}">Roof crest</a>' in text
    assert "Most often taken for one another: anchor and gull." in text
    assert "Side stripe" not in text
    assert "Your own votes" not in text


def test_a_trait_that_is_hard_to_judge_says_so_and_asks_for_a_better_note(client):
    scene = confused_scene()
    text = client.get(f"/traits/{scene.crest.public_id}").text
    assert "Hard to judge" in text
    assert "taken for one another: anchor and gull." in text
    assert "A better note on how to look would help" in text
    assert "Hard to judge" not in client.get(f"/traits/{scene.stripe.public_id}").text


def test_a_reviewer_reads_their_own_rates_and_nobody_elses(as_member):
    scene = confused_scene()
    reviewer = scene.reviewers[2]
    own = FitRate.objects.get(member=reviewer, kind="print", in_hand=False)
    text = as_member(reviewer).get("/how/votes").text
    assert "Only you see this." in text
    confirmed, contradicted = round(own.sensitivity / 10_000), round(own.specificity / 10_000)
    assert f"you confirm about {confirmed}; of 100 that are not you contradict about {contradicted}." in text
    assert "Print (tampo), from photographs" in text
    assert text.count("behind it)") == FitRate.objects.filter(member=reviewer).count()
    newcomer = as_member(ReviewerFactory()).get("/how/votes").text
    assert "None of your votes had been counted" in newcomer
    assert "Your own votes" not in as_member(scene.author).get("/how/votes").text
