"""What is mine: tokens, reports, votes, sightings, the cabinet. Nobody else gets at it."""

import re

import pytest

from registry import actions
from registry.models import CabinetItem, Sighting, Token
from tests.factories import CabinetItemFactory, MemberFactory
from tests.path import Scene, claim_on, now
from tests.web.paper import form_with, send

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene() -> Scene:
    return Scene()


def test_the_account_shows_drafts_reports_votes_and_disputes(as_member, scene):
    variant = scene.report(scene.anchor, title="Anchor on the roof")
    scene.draft()
    claim = claim_on(scene.report(scene.gull, base=variant, by=scene.reviewers[1]), scene.crest)
    actions.cast_vote(claim=claim, by=scene.author, at=now(), verdict="confirms", basis="photo")
    actions.open_dispute(claim=claim, state=scene.anchor, by=scene.author, reason="Anchor.", at=now())
    text = as_member(scene.author).get("/account").text
    assert "Anchor on the roof" in text
    assert "draft" in text
    assert "it is not counted: you were no reviewer then" in text
    assert "My disputes" in text


def test_a_token_is_shown_once_and_ended(as_member, scene):
    member = as_member(scene.author)
    made = send(
        member,
        "/account",
        form_with(member.get("/account"), "scopes"),
        name="Shelf list",
        scopes=["read", "cabinet"],
        days="30",
    )
    secret = re.search(r'value="(clt_[\w-]+)"', made.text)[1]
    assert "no-store" in made.headers["Cache-Control"]
    token = Token.objects.get(digest=actions.token_digest(secret))
    assert token.scopes == ["cabinet", "read"]
    page = member.get("/account")
    assert "Shelf list" in page.text
    assert secret not in page.text
    member.post(f"/account/tokens/{token.public_id}/revoke")
    assert "Shelf list" not in re.sub(r'<p class="word".*?</p>', "", member.get("/account").text)


def test_a_token_without_a_scope_is_refused_and_keeps_its_name(as_member, scene):
    answer = as_member(scene.author).post("/account/tokens", {"name": "Shelf list", "days": "30"})
    assert answer.status_code == 422
    assert 'value="Shelf list"' in answer.text
    assert not Token.objects.exists()


def test_another_members_token_is_not_theirs_to_end(as_member, scene):
    token, _ = actions.create_token(by=scene.author, name="Mine", scopes=["read"], at=now())
    answer = as_member(MemberFactory()).post(f"/account/tokens/{token.public_id}/revoke")
    assert answer.status_code == 404
    token.refresh_from_db()
    assert token.revoked_at is None


def test_an_own_sighting_can_be_taken_back(as_member, scene):
    variant = scene.report(scene.anchor)
    sighting = actions.report_sighting(
        by=scene.author,
        at=now(),
        release=scene.release,
        scope="item",
        seen_on=now().date(),
        count_lines=[{"kind": "variant", "variants": [variant], "n": 1}],
    )
    address = f"/account/sightings/{sighting.public_id}/withdraw"
    assert as_member(MemberFactory()).post(address).status_code == 404
    as_member(scene.author).post(address)
    assert Sighting.objects.get().withdrawn_at


def test_what_i_own_is_put_in_changed_and_taken_out(as_member, scene):
    variant = scene.report(scene.anchor)
    member = as_member(scene.reviewers[0])
    address = f"/cabinet/put/{scene.release.public_id}"
    form = form_with(member.get(address, {"variant": variant.public_id}), "to_swap")
    assert form.said["variant"] == [variant.public_id]
    page = send(member, address, form, condition="sealed", count="2", to_swap="1", note="top shelf")
    item = CabinetItem.objects.get()
    assert (item.member, item.variant, item.count, item.to_swap) == (scene.reviewers[0], variant, 2, 1)
    assert "top shelf" in page.text
    address = f"/cabinet/{item.public_id}"
    send(member, address, form_with(member.get(address), "to_swap"), count="3")
    item.refresh_from_db()
    assert item.count == 3
    send(member, address, form_with(member.get(address), action=f"{address}/take-out"))
    assert not CabinetItem.objects.exists()


def test_more_to_swap_than_owned_is_refused_at_its_field(as_member, scene):
    answer = as_member(scene.author).post(
        f"/cabinet/put/{scene.release.public_id}", {"condition": "loose", "count": "1", "to_swap": "2"}
    )
    assert answer.status_code == 422
    assert 'id="id_to_swap_error"' in answer.text


def test_a_cabinet_is_its_owners_alone(as_member):
    item = CabinetItemFactory(note="a private word")
    stranger = as_member(MemberFactory())
    assert "a private word" not in stranger.get("/cabinet").text
    assert stranger.get(f"/cabinet/{item.public_id}").status_code == 404
    assert stranger.post(f"/cabinet/{item.public_id}", {"count": "9"}).status_code == 404
    assert stranger.post(f"/cabinet/{item.public_id}/take-out").status_code == 404
    assert CabinetItem.objects.filter(pk=item.pk, count=1).exists()


@pytest.mark.parametrize("path", ["/account", "/cabinet"])
def test_what_is_mine_is_kept_by_no_cache(as_member, scene, path):
    assert "no-store" in as_member(scene.author).get(path).headers["Cache-Control"]


# My data ----------------------------------------------------------------------------------------------------------


def test_my_data_is_one_file(as_member, scene):
    member = as_member(scene.author)
    assert "/account/export" in member.get("/account").text
    answer = member.get("/account/export")
    assert answer.json()["account"]["id"] == scene.author.public_id
    assert "attachment" in answer.headers["Content-Disposition"]
    assert "no-store" in answer.headers["Cache-Control"]


def test_T50_an_account_is_erased_only_with_its_password(as_member, scene):
    scene.author.set_password("seven herring crates")
    scene.author.save()
    member = as_member(scene.author)
    wrong = member.post("/account/erase", {"credit": "uncredited", "password": "eight"})
    assert wrong.status_code == 422
    assert "not your password" in wrong.text
    form = form_with(member.get("/account/erase"), "credit")
    home = send(member, "/account/erase", form, credit="uncredited", password="seven herring crates")
    scene.author.refresh_from_db()
    assert scene.author.erased_at
    assert member.get("/account").status_code == 302
    assert home.status_code in (200, 302)


def test_a_photograph_of_an_erased_member_is_uncredited(as_member, scene, client):
    variant = scene.report(scene.anchor)
    photo = scene.show(variant, owner=scene.author).photos.get()
    assert f"By {scene.author.display_name}" in client.get(f"/photos/{photo.public_id}").text
    actions.erase_member(by=scene.author, at=now())
    text = client.get(f"/photos/{photo.public_id}").text
    assert "By uncredited" in text
    assert "former contributor" in text
