"""Stating an order, voting on it, objecting to it, taking it back; and how codes are read."""

from io import BytesIO

import pytest

from registry.models import CodePattern, Dispute, Statement, Vote
from tests.factories import CodePatternFactory, MemberFactory, VariantFactory
from tests.path import Scene
from tests.pictures import jpeg
from tests.web.paper import form_with, send

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene() -> Scene:
    return Scene()


@pytest.fixture
def pair(scene):
    return VariantFactory(release=scene.release), VariantFactory(release=scene.release)


def stated(browser, scene, pair, **said):
    address = f"/releases/{scene.release.public_id}/statements"
    said = {
        "variant": pair[0].public_id, "other": pair[1].public_id, "kind": "before", "source_kind": "makers_notice",
        "source": "a trade sheet", **said,
    }  # fmt: skip
    return send(browser, address, form_with(browser.get(address), "source_kind"), **said)


def test_an_order_is_stated_voted_on_objected_to_and_taken_back(as_member, scene, pair):
    author = as_member(scene.author)
    page = stated(author, scene, pair)
    it = Statement.objects.get()
    assert page.request["PATH_INFO"] == f"/statements/{it.public_id}"
    assert "more votes on this order" in page.text
    assert "Is it so?" not in page.text  # nobody votes on their own
    assert "no vote yet" not in page.text  # nor is told of others' votes before it is decided
    for reviewer in scene.reviewers[:3]:
        browser = as_member(reviewer)
        form = form_with(browser.get(f"/statements/{it.public_id}"), "verdict")
        page = send(browser, f"/statements/{it.public_id}", form, verdict="confirms")
    assert "confirmed" in page.text
    assert "3 confirm" in page.text
    objector = as_member(scene.reviewers[3])
    form = form_with(objector.get(f"/statements/{it.public_id}"), "reason")
    page = send(objector, f"/statements/{it.public_id}", form, reason="Two lorries.")
    dispute = Dispute.objects.get()
    assert page.request["PATH_INFO"] == f"/disputes/{dispute.public_id}"
    assert "votes against the statement" in page.text
    picture = {"photo": jpeg_file(), "caption": "the two lorries"}
    assert objector.post(f"/disputes/{dispute.public_id}/photo", picture).status_code == 302
    assert "disputed" in author.get(f"/statements/{it.public_id}").text
    assert author.post(f"/statements/{it.public_id}/close").status_code == 302
    assert "Taken back" in author.get(f"/statements/{it.public_id}").text
    assert str(it) not in author.get(f"/releases/{scene.release.public_id}/statements").text


def test_what_a_sighting_tells_of_an_order_is_said_of_shipping_on_every_page(as_member, scene, pair):
    author = as_member(scene.author)
    page = stated(author, scene, pair, source_kind="dated_sighting")
    words = f"{pair[0]} was shipped before {pair[1]}"
    assert f"<h1>{words}" in page.text
    assert f">{words}</a>" in author.get(f"/releases/{scene.release.public_id}/statements").text
    assert f">{words}</a>" in author.get(f"/releases/{scene.release.public_id}/order").text


def jpeg_file():
    file = BytesIO(jpeg())
    file.name = "lorries.jpg"
    return file


def test_a_vote_is_taken_back(as_member, scene, pair):
    stated(as_member(scene.author), scene, pair)
    it, browser = Statement.objects.get(), as_member(scene.reviewers[0])
    browser.post(f"/statements/{it.public_id}/vote", {"verdict": "contradicts", "basis": "photo"})
    assert Vote.objects.current().count() == 1
    browser.post(f"/statements/{it.public_id}/vote/withdraw")
    assert not Vote.objects.current().exists()
    assert browser.post(f"/statements/{it.public_id}/vote/withdraw").status_code == 404


def test_a_code_says_plainly_what_it_dates(as_member, scene, pair):
    pattern = CodePatternFactory(line=scene.release.line, dates="printing", margin_days=2)
    said = {"kind": "coded", "other": "", "source_kind": "production_code", "code_pattern": pattern.public_id}
    page = stated(as_member(scene.author), scene, pair, code="f07", **said)
    assert "it dates when a part was printed, to a week, give or take 2 days" in page.text


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"other": ""}, "second variant"),
        ({"kind": "not_before", "other": "", "on": "2999-01-01"}, "already come"),
        ({"kind": "not_before", "other": "", "on": "1950-01-01"}, "was made before"),
        ({"source": ""}, "required"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(as_member, scene, pair, said, words):
    page = stated(as_member(scene.author), scene, pair, **said)
    assert page.status_code == 422
    assert words in page.text
    assert not Statement.objects.exists()


def test_a_reader_reads_and_is_asked_to_sign_in(client, as_member, scene, pair):
    stated(as_member(scene.author), scene, pair)
    address = f"/releases/{scene.release.public_id}/statements"
    assert "Sign in" in client.get(address).text
    assert client.post(address, {}).status_code == 302
    it = Statement.objects.get()
    assert "Sign in" in client.get(f"/statements/{it.public_id}").text
    assert client.post(f"/statements/{it.public_id}/close").status_code == 302
    assert Statement.objects.get().closed_at is None


def test_moderators_add_how_a_code_is_read_and_nobody_else(as_member, scene):
    address = f"/lines/{scene.release.line.public_id}/codes"
    said = {
        "name": "Lower flap", "template": "{Y}{ww}", "dates": "packing", "first_year": "2020", "margin_days": "0",
        "source": "forty flaps",
    }  # fmt: skip
    assert as_member(MemberFactory()).post(address, said).status_code == 422
    moderator = as_member(scene.moderator)
    assert moderator.post(address, said | {"template": "(A+)+"}).status_code == 422
    assert not CodePattern.objects.exists()
    assert moderator.post(address, said).status_code == 302
    assert "{Y}{ww}" in moderator.get(address).text
    assert "Add one" not in as_member(MemberFactory()).get(address).text
