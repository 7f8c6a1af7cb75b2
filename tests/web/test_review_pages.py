"""A second look: who is offered what, and what a vote does to the page."""

import re

import pytest

from registry import actions
from registry.models import Claim, Vote
from registry.queries import review
from tests.factories import MarkFactory, MemberFactory, PhotoFactory
from tests.path import Scene, claim_on, now
from tests.web.paper import form_with, send

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene() -> Scene:
    return Scene()


def test_the_desk_needs_an_account(client):
    assert client.get("/review").headers["Location"].startswith("/accounts/login/")


def test_a_vote_leads_to_the_next_detail(as_member, scene):
    variant = scene.report(scene.anchor, scene.red)
    reviewer = as_member(scene.reviewers[0])
    page = reviewer.get("/review")
    assert "2 details wait" in page.text
    first = page.context["claim"]
    answer = send(
        reviewer,
        "/review",
        form_with(page, "verdict"),
        None,
        verdict="confirms",
        basis="photo",
        note="Clear.",
    )
    assert answer.request["PATH_INFO"] == "/review"
    assert "1 detail wait" in answer.text
    assert answer.context["claim"] != first
    vote = Vote.objects.get(claim=first)
    assert (vote.by, vote.verdict, vote.note, vote.counts) == (scene.reviewers[0], "confirms", "Clear.", True)
    assert vote.base_revision == variant.revision_number


def test_the_desk_says_why_this_one_is_next_and_counts_no_further_than_it_orders(
    as_member, scene, monkeypatch
):
    scene.report(scene.anchor, scene.red)
    page = as_member(scene.reviewers[0]).get("/review")
    assert "This is next because" in page.text
    monkeypatch.setattr(review, "FIRST", 1)
    page = as_member(scene.reviewers[0]).get("/review")
    assert "More than 1 details wait for you." in page.text


def test_with_htmx_the_next_detail_comes_alone(as_member, scene):
    scene.report(scene.anchor, scene.red)
    reviewer = as_member(scene.reviewers[0])
    page = reviewer.get("/review")
    first = page.context["claim"]
    answer = reviewer.post(
        f"/claims/{first.public_id}/vote",
        {**form_with(page, "verdict").said, "verdict": "cannot_tell", "basis": "photo"},
        headers={"HX-Request": "true"},
    )
    assert answer.status_code == 200
    assert answer.text.lstrip().startswith('<section id="look">')
    assert "<html" not in answer.text
    assert answer.context["claim"] != first


def test_a_detail_can_be_put_aside(as_member, scene):
    scene.report(scene.anchor, scene.red)
    reviewer = as_member(scene.reviewers[0])
    first = reviewer.get("/review").context["claim"]
    second = reviewer.get("/review?skip=1").context["claim"]
    assert first != second
    assert reviewer.get("/review?skip=99").context["claim"] == second


def test_the_keys_are_listed_and_each_stands_at_what_it_does(as_member, scene):
    base = scene.report(scene.anchor, scene.red)
    scene.report(scene.gull, base=base, cause="parallel")
    page = as_member(scene.reviewers[0]).get("/review")
    listed = {key.lower() for key in re.findall(r"<kbd>(.)</kbd>", page.text)}
    by_script = {"b", "+", "-"}  # made together with the pane that they work on
    on_request = {"o"}  # where two photographs can be compared
    assert set(re.findall(r'data-key="(.)"', page.text)) | by_script | on_request == listed


def test_ones_own_report_is_not_offered_and_a_vote_on_it_is_refused(as_member, scene):
    variant = scene.report(scene.anchor)
    author = as_member(scene.author)
    assert "Nothing waits for you" in author.get("/review").text
    claim = claim_on(variant, scene.crest)
    answer = author.post(f"/claims/{claim.public_id}/vote", {"verdict": "confirms", "basis": "photo"})
    assert answer.status_code == 422
    assert "others must vote on it" in answer.text
    assert not Vote.objects.exists()


def test_where_nothing_waits_the_desk_says_what_to_do(as_member, scene):
    base = scene.report(scene.anchor)
    dispute = actions.open_dispute(
        claim=claim_on(base, scene.crest), state=scene.gull, by=scene.reviewers[0], reason="A gull.", at=now()
    )
    everything = Claim.objects.filter(variant=base)
    for claim in everything.exclude(trait__key="cause"):
        actions.cast_vote(claim=claim, by=scene.reviewers[1], at=now(), verdict="cannot_tell", basis="photo")
    page = as_member(scene.reviewers[1]).get("/review")
    assert "Nothing waits for you" in page.text
    for address in ("/open", "/report", f"/disputes/{dispute.public_id}"):
        assert f'href="{address}"' in page.text


def test_a_vote_without_a_verdict_keeps_what_was_typed(as_member, scene):
    claim = claim_on(scene.report(scene.anchor), scene.crest)
    answer = as_member(scene.reviewers[0]).post(
        f"/claims/{claim.public_id}/vote", {"basis": "photo", "note": "A worn one"}
    )
    assert answer.status_code == 422
    assert "A worn one" in answer.text
    assert 'id="vote_verdict_error"' in answer.text


def test_a_vote_can_be_changed_and_taken_back(as_member, scene):
    claim = claim_on(scene.report(scene.anchor), scene.crest)
    reviewer = as_member(scene.reviewers[0])
    address = f"/claims/{claim.public_id}/vote"
    send(reviewer, address, form_with(reviewer.get(address), "verdict"), verdict="confirms")
    page = reviewer.get(address)
    assert "Voting again replaces that vote" in page.text
    assert form_with(page, "verdict").said["verdict"] == ["confirms"]
    send(
        reviewer, address, form_with(page, "verdict"), verdict="contradicts", state_seen=scene.gull.public_id
    )
    vote = Vote.objects.current().get(claim=claim)
    assert (vote.verdict, vote.state_seen) == ("contradicts", scene.gull)
    reviewer.post(f"{address}/withdraw")
    assert not Vote.objects.current().filter(claim=claim).exists()
    assert Vote.objects.filter(claim=claim).count() == 2


def test_taking_back_a_vote_that_was_never_cast_says_so(as_member, scene):
    claim = claim_on(scene.report(scene.anchor), scene.crest)
    answer = as_member(scene.reviewers[0]).post(f"/claims/{claim.public_id}/vote/withdraw")
    assert answer.status_code == 404
    assert "no vote there" in answer.text


def test_a_member_who_is_no_reviewer_is_told_that_the_vote_does_not_count(as_member, scene):
    claim = claim_on(scene.report(scene.anchor), scene.crest)
    page = as_member(MemberFactory()).get(f"/claims/{claim.public_id}/vote")
    assert "Only reviewers’ votes count" in page.text


def test_a_claim_leads_to_its_place_on_the_variants_page(client, scene):
    variant = scene.report(scene.anchor)
    claim = Claim.objects.get(variant=variant, trait=scene.crest)
    answer = client.get(f"/claims/{claim.public_id}")
    assert answer.headers["Location"] == f"/variants/{variant.public_id}#{claim.public_id}"


def test_a_cause_is_asked_about_with_the_photographs_of_what_differs(as_member, scene):
    base = scene.report(scene.anchor, scene.red)
    gull = scene.report(scene.gull, base=base, cause="running_change")
    address = f"/claims/{Claim.objects.open().on_cause().get(variant=gull).public_id}/vote"
    reviewer = as_member(scene.reviewers[0])
    assert "No photograph shows what differs by a mark yet." in reviewer.get(address).text
    shown = scene.show(gull)
    page = reviewer.get(address)
    assert [it.photo for it in page.context["photos"]] == list(shown.photos.all())
    assert "The photographs that show it:" in page.text
    assert "Roof crest: gull." in page.text
    known = scene.show(base)
    pair = reviewer.get(address).context["pair"]
    assert (pair.a.photo, pair.b.photo) == (known.photos.get(), shown.photos.get())


def test_where_nothing_is_marked_the_variants_photographs_are_shown_all_the_same(as_member, scene):
    base = scene.report(scene.anchor, scene.red)
    claim = claim_on(base, scene.crest)
    photo = PhotoFactory(submission=claim.submission, owner=scene.author)
    page = as_member(scene.reviewers[0]).get(f"/claims/{claim.public_id}/vote")
    assert "No photograph shows it by a mark yet. The photographs that came with the variant:" in page.text
    assert [it.photo for it in page.context["photos"]] == [photo]
    MarkFactory(claim=claim, photo=photo)
    page = as_member(scene.reviewers[0]).get(f"/claims/{claim.public_id}/vote")
    assert "came with the variant" not in page.text
