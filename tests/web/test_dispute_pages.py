"""An objection, on the pages: opened, voted on with one form, shown by a photograph, decided, taken back, closed."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from registry import actions
from registry.models import Dispute, Mark, Outcome, Photo, Vote
from tests.factories import MemberFactory
from tests.path import Scene, claim_on, now
from tests.pictures import jpeg
from tests.web.paper import form_with, send

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene() -> Scene:
    return Scene()


@pytest.fixture
def dispute(scene: Scene) -> Dispute:
    claim = claim_on(scene.baseline(), scene.crest)
    return actions.open_dispute(
        claim=claim, state=scene.gull, by=scene.reviewers[5], reason="It is a gull in daylight.", at=now()
    )


def test_a_member_opens_a_dispute_from_the_detail(as_member, scene):
    claim = claim_on(scene.baseline(), scene.crest)
    member = as_member(MemberFactory())
    address = f"/claims/{claim.public_id}/dispute"
    page = send(
        member, address, form_with(member.get(address), "state"), state=scene.gull.public_id, reason="A gull."
    )
    dispute = Dispute.objects.get()
    assert page.request["PATH_INFO"] == f"/disputes/{dispute.public_id}"
    assert "anchor, or gull?" in page.text
    assert "still missing: a photograph, or a second reviewer" in page.text


def test_a_second_dispute_on_the_same_detail_leads_to_the_first(as_member, scene, dispute):
    answer = as_member(MemberFactory()).post(
        f"/claims/{dispute.claim.public_id}/dispute", {"state": scene.gull.public_id, "reason": "Me too."}
    )
    assert answer.status_code == 422
    assert "already open here" in answer.text


@pytest.mark.parametrize(
    ("side", "expected"),
    [
        ("claim", {"claim": "confirms"}),
        ("rival", {"rival": "confirms"}),
        ("neither", {"claim": "contradicts", "rival": "contradicts"}),
        ("cannot_tell", {"claim": "cannot_tell", "rival": "cannot_tell"}),
    ],
)
def test_one_form_votes_on_both_sides(as_member, scene, dispute, side, expected):
    voter = as_member(scene.reviewers[4])
    address = f"/disputes/{dispute.public_id}"
    Vote.objects.filter(by=scene.reviewers[4]).delete()
    page = voter.get(address)
    send(voter, address, form_with(page, "side"), side=side, basis="photo")
    names = {dispute.claim_id: "claim", dispute.rival_id: "rival"}
    cast = {
        names[vote.claim_id]: vote.verdict for vote in Vote.objects.current().filter(by=scene.reviewers[4])
    }
    assert cast == expected


def test_a_photograph_brought_and_marked_on_the_pages_lets_the_votes_correct_the_detail(
    as_member, scene, dispute
):
    owners = [scene.reviewers[5], MemberFactory()]
    for n, owner in enumerate(owners):
        example = scene.example(owner=owner)
        member = as_member(owner)
        address = f"/disputes/{dispute.public_id}"
        file = SimpleUploadedFile("a.jpg", jpeg(120, 80, (120 * n, 99, 9)), content_type="image/jpeg")
        page = send(member, address, form_with(member.get(address), "photo"), photo=file, caption="The roof")
        photo = Photo.objects.get(owner=owner, dispute=dispute)
        say = f"/photos/{photo.public_id}"
        assert page.request["PATH_INFO"] == say
        page = send(
            member,
            say,
            form_with(page, "views"),
            ("do", "describe"),
            examples=[example.public_id],
            views=["seal_all_round"],
        )
        page = send(
            member,
            say,
            form_with(page, "left"),
            ("do", "mark"),
            claim=dispute.rival.public_id,
            example=example.public_id,
            left="5",
            top="5",
            width="20",
            height="20",
        )
        assert Mark.objects.filter(claim=dispute.rival, photo=photo).count() == 1
        assert "Roof crest: gull" in page.text
    for reviewer in scene.reviewers[:5]:
        voter = as_member(reviewer)
        address = f"/disputes/{dispute.public_id}"
        page = voter.get(address)
        if page.context["dispute"].outcome == Outcome.OPEN:
            page = send(voter, address, form_with(page, "side"), side="rival", basis="photo")
    dispute.refresh_from_db()
    assert dispute.outcome == Outcome.CORRECTED
    variant = dispute.claim.variant
    variant.refresh_from_db()
    revision = as_member().get(f"/variants/{variant.public_id}?revision={variant.revision_number}")
    assert '<span class="before">anchor</span>' in revision.text
    assert '<td class="changed">gull</td>' in revision.text


def test_only_its_opener_takes_a_dispute_back(as_member, scene, dispute):
    address = f"/disputes/{dispute.public_id}/withdraw"
    assert as_member(scene.reviewers[0]).post(address).status_code == 403
    assert as_member(scene.reviewers[5]).post(address).status_code == 302
    dispute.refresh_from_db()
    assert dispute.outcome == Outcome.WITHDRAWN


def test_an_ended_dispute_tells_of_its_ended_side_and_hides_the_votes_on_the_detail_that_goes_on(
    as_member, client, scene
):
    claim = claim_on(scene.report(scene.gull), scene.crest)
    said = {"state": scene.anchor, "reason": "An anchor.", "by": scene.reviewers[5]}
    dispute = actions.open_dispute(claim=claim, at=now(), **said)
    hidden, address = "how others voted is shown once you have voted", f"/disputes/{dispute.public_id}"
    assert client.get(address).text.count(hidden) == 2
    actions.cast_vote(claim=claim, by=scene.reviewers[4], verdict="confirms", basis="photo", at=now())
    actions.withdraw_dispute(dispute=dispute, by=dispute.opened_by, at=now())
    page = client.get(address).text
    assert page.count(hidden) == 1
    assert page.count("no counting vote was cast") == 1
    assert "no vote yet" not in page
    assert hidden not in as_member(scene.reviewers[4]).get(address).text


def test_a_moderator_closes_a_dispute_with_a_reason(as_member, scene, dispute):
    address = f"/disputes/{dispute.public_id}"
    moderator = as_member(scene.moderator)
    assert moderator.post(f"{address}/close", {"reason": ""}).status_code == 422
    send(moderator, address, form_with(moderator.get(address), "reason"), reason="Wear, shown by the seller.")
    dispute.refresh_from_db()
    assert (dispute.outcome, dispute.closing_reason) == (Outcome.UPHELD, "Wear, shown by the seller.")


def test_a_member_cannot_close_a_dispute(as_member, scene, dispute):
    member = as_member(scene.reviewers[0])
    assert "Close it" not in member.get(f"/disputes/{dispute.public_id}").text
    assert member.post(f"/disputes/{dispute.public_id}/close", {"reason": "Mine."}).status_code == 422
    dispute.refresh_from_db()
    assert dispute.outcome == Outcome.OPEN
