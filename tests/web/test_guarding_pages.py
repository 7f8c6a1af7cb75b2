"""Pages of what guards the votes: concerns, held disputes, deeds for two, interests, control items, quotas."""

from datetime import timedelta

import pytest
from django.utils import timezone

from registry import actions
from registry.methods.guards import CONTROL_EVERY
from registry.methods.identifiers import mint, show_id
from registry.methods.queueing import FEW_NEEDED
from registry.models import (
    AddressHint,
    Claim,
    ControlAnswer,
    Dispute,
    HeldDispute,
    Interest,
    PendingDeed,
    RoleGrant,
    Vote,
)
from tests.factories import (
    ConcernFactory,
    HeldDisputeFactory,
    MemberFactory,
    ModeratorFactory,
    ReviewerFactory,
    SubmissionFactory,
    VoteFactory,
)
from tests.path import Scene, claim_on, now
from tests.web.paper import form_with, send

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene() -> Scene:
    return Scene()


@pytest.fixture
def claim(scene):
    return claim_on(scene.report(scene.anchor, scene.red), scene.crest)


def test_only_moderators_see_concerns_held_disputes_and_deeds(as_member, scene, claim):
    concern, held = ConcernFactory(), HeldDisputeFactory(claim=claim)
    for path in (f"/moderation/concerns/{concern.public_id}", f"/moderation/held/{held.public_id}"):
        assert as_member().get(path).status_code == 302
        assert as_member(scene.reviewers[0]).get(path).status_code == 403
        assert as_member(scene.moderator).get(path).status_code == 200


def test_a_pair_in_step_is_called_by_name_and_its_odds_can_be_read(as_member, scene):
    known, gone = scene.author, mint()
    pair = {"members": [known.public_id, gone], "shared": 9, "close": 9, "one_in": 140781464}
    concern = ConcernFactory(evidence={"claims": [], "pairs": [pair]})
    concern.members.add(known)
    text = as_member(scene.moderator).get(f"/moderation/concerns/{concern.public_id}").text
    assert f'<th scope="row">{known}, <span class="id">{show_id(gone)}</span></th>' in text
    assert "140,781,464" in text


def test_a_concern_is_read_and_closed_with_what_was_found(as_member, scene):
    concern = ConcernFactory()
    concern.members.add(scene.author)
    moderator, address = as_member(scene.moderator), f"/moderation/concerns/{concern.public_id}"
    assert address in moderator.get("/moderation").text
    assert scene.author.display_name in moderator.get(address).text
    form = form_with(moderator.get(address), "outcome")
    send(moderator, address, form, outcome="unfounded", reason="One household.")
    concern.refresh_from_db()
    assert (concern.outcome, concern.closed_by) == ("unfounded", scene.moderator)
    assert address not in moderator.get("/moderation").text
    assert "One household." in moderator.get(address).text


def test_T05_the_fourth_dispute_waits_is_seen_by_nobody_and_is_let_go_on(as_member, scene, claim):
    grudge = MemberFactory(display_name="Heron")
    for _ in range(3):
        HeldDisputeFactory(claim=claim, opened_by=grudge, held_at=timezone.now())
    browser, address = as_member(grudge), f"/claims/{claim.public_id}/dispute"
    said = {"state": scene.gull.public_id, "reason": "Plainly a gull."}
    answer = browser.post(address, {**form_with(browser.get(address), "reason").said, **said})
    assert answer.status_code == 202
    assert "A moderator looks at it first" in answer.text
    assert not Dispute.objects.exists()
    assert (
        "Plainly a gull" not in as_member(scene.reviewers[0]).get(f"/variants/{claim.variant.public_id}").text
    )
    assert "held for a moderator" in browser.get("/account").text
    held, moderator = HeldDispute.objects.order_by("-pk")[0], as_member(scene.moderator)
    page = moderator.get(f"/moderation/held/{held.public_id}")
    assert "Plainly a gull" in page.text
    released = moderator.post(f"/moderation/held/{held.public_id}/release", follow=True)
    assert released.request["PATH_INFO"] == f"/disputes/{Dispute.objects.get().public_id}"
    again = moderator.post(f"/moderation/held/{held.public_id}/release")
    assert again.status_code == 409


def test_T05_a_held_dispute_is_declined_and_its_opener_reads_why(as_member, scene, claim):
    held = HeldDisputeFactory(claim=claim, opened_by=scene.reviewers[0])
    moderator, address = as_member(scene.moderator), f"/moderation/held/{held.public_id}"
    send(moderator, address, form_with(moderator.get(address), "reason"), reason="It is settled.")
    assert "It is settled." in as_member(scene.reviewers[0]).get("/account").text


def test_T09_a_role_waits_for_a_second_moderator(as_member, scene):
    member, second = MemberFactory(display_name="Mudlark"), ModeratorFactory()
    first, other = as_member(scene.moderator), as_member(second)
    said = {"member": "Mudlark", "role": "moderator", "reason": "A steady eye."}
    assert first.post("/moderation/roles", said).status_code == 202
    deed = PendingDeed.objects.get()
    address = f"/moderation/deeds/{deed.public_id}"
    assert "Make Mudlark a moderator" in other.get("/moderation").text
    assert first.post(address, {"do": "confirm"}).status_code == 403
    assert not RoleGrant.objects.filter(member=member).exists()
    assert other.post(address, {"do": "confirm"}, follow=True).status_code == 200
    assert RoleGrant.objects.get(member=member).granted_by == scene.moderator
    assert other.post(address, {"do": "decline"}).status_code == 409


def test_T09_or_is_declined(as_member, scene):
    member, second = MemberFactory(display_name="Mudlark"), ModeratorFactory()
    as_member(scene.moderator).post(
        "/moderation/roles", {"member": "Mudlark", "role": "reviewer", "reason": "Asks well."}
    )
    as_member(second).post(f"/moderation/deeds/{PendingDeed.objects.get().public_id}", {"do": "decline"})
    assert PendingDeed.objects.get().outcome == "declined"
    assert not RoleGrant.objects.filter(member=member).exists()


def test_T03_a_seller_says_so_votes_and_says_that_it_is_over(as_member, scene, claim):
    seller = scene.reviewers[0]
    browser, address = as_member(seller), f"/releases/{scene.release.public_id}/interest"
    assert address in browser.get(f"/releases/{scene.release.public_id}").text
    page = send(browser, address, form_with(browser.get(address), "what"), what="line")
    assert str(scene.release.line) in page.text
    voted = browser.post(
        f"/claims/{claim.public_id}/vote", {"verdict": "confirms", "basis": "photo"}, follow=True
    )
    assert "does not count: you sell this" in voted.text
    assert Vote.objects.get().counts is False
    interest = Interest.objects.get()
    browser.post(f"/account/interests/{interest.public_id}/end")
    interest.refresh_from_db()
    assert interest.ended_at
    assert browser.post(f"/account/interests/{interest.public_id}/end").status_code == 404


def test_T03_a_vote_leaves_a_digest_of_the_address_prefix_alone(as_member, scene, claim):
    as_member(scene.reviewers[0]).post(
        f"/claims/{claim.public_id}/vote", {"verdict": "confirms", "basis": "photo"}, REMOTE_ADDR="8.8.4.4"
    )
    hint = AddressHint.objects.get()
    assert hint.member == scene.reviewers[0]
    assert "8.8.4" not in hint.digest


def test_T08_a_page_says_when_one_may_go_on(as_member, scene, settings):
    settings.CASTLORE_QUOTA_FACTOR = 1
    new = MemberFactory()
    for _ in range(10):
        SubmissionFactory(author=new, created_at=timezone.now() - timedelta(hours=1))
    answer = as_member(new).post("/report/begin", {"release": scene.release.public_id})
    assert answer.status_code == 429
    assert 82_000 < int(answer["Retry-After"]) <= 82_801
    assert "You can go on at" in answer.text


@pytest.fixture
def settled(scene):
    """A claim corrected long ago, both sides pictured."""
    variant = scene.report(scene.anchor, scene.red)
    example = scene.show(variant)
    dispute = actions.open_dispute(
        claim=claim_on(variant, scene.crest), state=scene.gull, reason="A gull.", by=MemberFactory(), at=now()
    )
    scene.mark(dispute.rival, scene.photo(example, dispute=dispute), example)
    scene.vote(dispute.rival)
    Dispute.objects.update(closed_at=timezone.now() - timedelta(days=60))
    return {dispute.claim_id, dispute.rival_id}


def test_T06_the_desk_asks_a_question_with_a_known_answer_like_any_other(as_member, scene, settled):
    member = ReviewerFactory()
    browser = as_member(member)
    for _ in range(CONTROL_EVERY):
        page = browser.get("/review")
        if page.context["claim"].pk in settled:
            break
        VoteFactory(by=member)
    asked = page.context["claim"]
    assert asked.pk in settled
    assert "known answer" not in page.text
    assert FEW_NEEDED in page.text  # as of any other, and nothing of what it stands in for
    form = form_with(page, "verdict")
    send(browser, "/review", form, verdict="contradicts", basis="photo")
    answer = ControlAnswer.objects.get()
    assert (answer.member, answer.claim, answer.verdict) == (member, asked, "contradicts")
    assert answer.truth is (Claim.objects.get(pk=asked.pk).closed_at is None)
    assert not Vote.objects.filter(by=member, claim=asked).exists()


def test_tallies_are_told_on_a_page_to_who_has_voted_and_once_it_is_decided(as_member, scene, claim):
    scene.show(claim.variant)
    scene.vote(claim, voters=2)
    path, hidden = f"/variants/{claim.variant.public_id}", "shown once you have voted"
    for reader in (None, scene.author, scene.reviewers[4]):
        page = as_member(reader).get(path)
        assert "2 confirm" not in page.text
        assert hidden in page.text
    assert "2 confirm" in as_member(scene.reviewers[0]).get(path).text
    scene.vote(claim, voters=4)
    claim.refresh_from_db()
    assert claim.standing == "confirmed"
    assert "4 confirm" in as_member().get(path).text


def test_tallies_of_a_dispute_are_told_once_one_has_voted_on_either_side(as_member, scene, claim):
    scene.vote(claim, voters=1)
    dispute = actions.open_dispute(
        claim=claim, state=scene.gull, reason="A gull.", by=MemberFactory(), at=now()
    )
    path = f"/disputes/{dispute.public_id}"
    assert "1 confirm" not in as_member(scene.reviewers[4]).get(path).text
    assert "1 confirm" not in as_member().get(path).text
    actions.cast_vote(
        claim=dispute.rival, by=scene.reviewers[4], at=now(), verdict="cannot_tell", basis="photo"
    )
    assert "1 confirm" in as_member(scene.reviewers[4]).get(path).text
