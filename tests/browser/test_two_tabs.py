"""One reviewer, two tabs: whatever both send in the same moment, one vote is current and nothing is lost."""

import pytest

from registry.models import Claim, Vote
from tests.path import Scene, claim_on

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
SEND = "document.querySelector('form[action$=\"/vote\"] button[type=submit]').click()"


@pytest.fixture
def claim() -> Claim:
    scene = Scene()
    claim = claim_on(scene.report(scene.anchor), scene.crest)
    claim.reviewer = scene.reviewers[0]
    return claim


def two_tabs(open_page, claim):
    """Both show the same detail, in one browser."""
    first = open_page("/review", member=claim.reviewer)
    second = first.context.new_page()
    second.goto(first.url)
    return first, second


def answered(*tabs) -> None:
    for tab in tabs:
        tab.get_by_text("is kept.").wait_for()


def test_the_same_vote_sent_from_two_tabs_at_once_is_one_vote(open_page, claim):
    tabs = two_tabs(open_page, claim)
    for tab in tabs:
        tab.get_by_label("Yes, it is so").check()
    for tab in tabs:
        tab.evaluate(SEND)  # does not wait for the answer
    answered(*tabs)
    assert Vote.objects.filter(claim=claim).count() == 1
    assert Claim.objects.get(pk=claim.pk).votes_counted == 1


def test_two_opposite_votes_sent_at_once_leave_one_current_and_one_kept(open_page, claim):
    first, second = two_tabs(open_page, claim)
    first.get_by_label("Yes, it is so").check()
    second.get_by_label("No, it is not so").check()
    first.evaluate(SEND)
    second.evaluate(SEND)
    answered(first, second)
    votes = Vote.objects.filter(claim=claim, by=claim.reviewer)
    assert {vote.verdict for vote in votes} == {"confirms", "contradicts"}
    assert votes.current().count() == 1
    assert Claim.objects.get(pk=claim.pk).votes_counted == 1


def test_a_tab_left_open_may_still_change_the_vote_and_goes_on_to_the_next(open_page, claim):
    first, second = two_tabs(open_page, claim)
    first.get_by_label("Yes, it is so").check()
    first.get_by_role("button", name="Keep my vote").click()
    answered(first)
    second.get_by_label("I cannot tell").check()
    second.get_by_role("button", name="Keep my vote").click()
    answered(second)
    assert Vote.objects.current().get(claim=claim).verdict == "cannot_tell"
    assert second.locator("#look-title").inner_text() == "Nothing waits for you"
