"""My example agrees on everything I can see: one form, the exceptions tapped, without a script."""

import pytest

from registry import actions
from registry.models import Example, Vote
from tests.factories import MemberFactory
from tests.path import Scene, claim_on, now
from tests.web.paper import form_with, send

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene() -> Scene:
    return Scene()


@pytest.fixture
def variant(scene):
    return scene.report(scene.anchor, scene.red, scene.black)


def address(variant) -> str:
    return f"/variants/{variant.public_id}/agree"


def verdicts(member):
    votes = Vote.objects.current().filter(by=member).select_related("claim__trait")
    return {vote.claim.trait.key: vote.verdict for vote in votes}


def test_from_the_desk_all_details_are_voted_on_at_once_and_the_next_one_follows(as_member, scene, variant):
    reviewer = as_member(scene.reviewers[0])
    desk = reviewer.get("/review")
    assert f'href="{address(variant)}?desk=yes"' in desk.text
    page = reviewer.get(f"{address(variant)}?desk=yes")
    crest, wheels = claim_on(variant, scene.crest), claim_on(variant, scene.wheels)
    form = form_with(page, "condition")
    assert form.said[crest.public_id] == ["agrees"]
    said = {crest.public_id: "differs", wheels.public_id: "unseen"}
    after = send(
        reviewer,
        f"{address(variant)}?desk=yes",
        form,
        condition="loose",
        found_shop="fair",
        note="Mine.",
        **said,
    )
    assert after.request["PATH_INFO"] == "/review"
    assert "Kept: 2 votes on" in after.text
    assert verdicts(scene.reviewers[0]) == {"crest": "contradicts", "stripe": "confirms"}
    example = Example.objects.get(owner=scene.reviewers[0])
    assert (example.condition, example.found_shop) == ("loose", "fair")
    assert {vote.example for vote in Vote.objects.all()} == {example}
    assert after.context["claim"] == wheels, "what was not seen still waits"


def test_an_example_noted_before_is_chosen_and_a_sealed_one_leaves_out_what_the_pack_hides(
    as_member, scene, variant
):
    scene.wheels.seen_in_pack = False
    scene.wheels.save()
    example = scene.example(owner=scene.reviewers[0])
    reviewer = as_member(scene.reviewers[0])
    page = reviewer.get(address(variant))
    assert "Not seen in the blister or box" in page.text
    after = send(reviewer, address(variant), form_with(page, "condition"), example=example.public_id)
    assert after.request["PATH_INFO"] == f"/variants/{variant.public_id}"
    assert "Left out: 1 that a sealed pack does not show." in after.text
    assert verdicts(scene.reviewers[0]) == {"crest": "confirms", "stripe": "confirms"}


def test_without_an_example_it_asks_how_one_holds_it_and_keeps_what_was_tapped(as_member, scene, variant):
    crest = claim_on(variant, scene.crest).public_id
    reviewer = as_member(scene.reviewers[0])
    form = form_with(reviewer.get(address(variant)), "condition")
    page = reviewer.post(address(variant), {**form.said, crest: "differs"})
    assert page.status_code == 422
    assert "sealed, boxed or loose" in page.text
    assert form_with(page, "condition").said[crest] == ["differs"]
    assert not Vote.objects.exists()


def test_what_was_contradicted_before_is_not_turned_round_unasked(as_member, scene, variant):
    claim = claim_on(variant, scene.crest)
    actions.cast_vote(claim=claim, by=scene.reviewers[0], at=now(), verdict="contradicts", basis="photo")
    page = as_member(scene.reviewers[0]).get(address(variant))
    assert form_with(page, "condition").said[claim.public_id] == ["differs"]


def test_a_refusal_stands_at_the_detail_it_is_about(as_member, scene, variant):
    first, second = scene.reviewers[:2]
    crest = claim_on(variant, scene.crest)
    actions.cast_vote(claim=crest, by=first, at=now(), verdict="confirms", basis="photo")
    actions.declare_link(first=first, second=second, by=scene.moderator, at=now())
    reviewer = as_member(second)
    form = form_with(reviewer.get(address(variant)), "condition")
    page = reviewer.post(address(variant), {**form.said, "condition": "loose"})
    assert page.status_code == 422
    assert f'id="id_{crest.public_id}_error"' in page.text
    assert not Example.objects.filter(owner=second).exists()


def test_ones_own_report_offers_nothing_and_no_tally_is_told_before_the_vote(as_member, scene, variant):
    own = as_member(scene.author).get(address(variant))
    assert "There is nothing here that you may vote on" in own.text
    assert "<fieldset" not in own.text
    scene.vote(claim_on(variant, scene.crest), voters=2)
    page = as_member(scene.reviewers[4]).get(address(variant))
    assert "2 confirm" not in page.text


def test_a_detail_that_came_while_the_page_was_open_is_neither_asked_for_nor_told_of(as_member, scene):
    variant = scene.report(scene.anchor)
    reviewer = as_member(scene.reviewers[0])
    form = form_with(reviewer.get(address(variant)), "condition")
    claims = [{"trait": scene.wheels.public_id, "state": scene.black.public_id}]
    draft = actions.start_draft(by=scene.author, at=now(), variant=variant, content={"claims": claims})
    actions.send_submission(submission=draft, by=scene.author, at=now())
    after = send(reviewer, address(variant), form, condition="loose")
    assert "Kept: 1 vote on" in after.text
    assert "Left out" not in after.text
    assert verdicts(scene.reviewers[0]) == {"crest": "confirms"}


def test_a_variant_that_is_gone_leads_to_its_page(as_member, scene, variant):
    actions.strike_variant(
        variant=variant, reason_code="hoax", reason="Painted.", by=scene.moderator, at=now()
    )
    answer = as_member(scene.reviewers[0]).get(address(variant))
    assert answer.headers["Location"] == f"/variants/{variant.public_id}"


def test_votes_of_one_who_is_no_reviewer_are_kept_and_said_not_to_count(as_member, scene, variant):
    browser = as_member(MemberFactory())
    page = browser.get(address(variant))
    assert "Only reviewers’ votes count" in page.text
    after = send(browser, address(variant), form_with(page, "condition"), condition="boxed")
    assert "Not all of them count" in after.text
    assert not Vote.objects.filter(counts=True).exists()
