"""Gloss meter readings on a detail's page, without scripts: added, shown on the variant, taken back."""

import pytest

from registry.models import GlossReading
from tests.factories import MemberFactory, StateFactory, TraitFactory
from tests.path import Scene, claim_on
from tests.web.paper import form_with, send

pytestmark = pytest.mark.django_db


def test_a_reading_is_added_shown_and_taken_back(as_member, client):
    scene = Scene()
    coat = TraitFactory(line=scene.release.line, key="coat", kind="finish", adopted_by=scene.release)
    variant = scene.report(scene.anchor, StateFactory(trait=coat, key="matte"))
    claim, crest = claim_on(variant, coat), claim_on(variant, scene.crest)
    member = MemberFactory()
    own = scene.example(owner=member, condition="loose")
    address, browser = f"/claims/{claim.public_id}/gloss", as_member(member)
    page = f"/variants/{variant.public_id}"
    assert browser.get(page).text.count("/gloss") == 1
    assert browser.get(f"/claims/{crest.public_id}/gloss").status_code == 404
    assert "Sign in to add a reading" in client.get(address).text
    assert client.post(address, {"do": "keep"})["Location"].startswith("/accounts/login/")
    form = form_with(browser.get(address), "gloss_units")
    assert form.said["example"] == [own.public_id]
    for wrong, words in (
        ({"gloss_units": "4.25"}, "no more than 1 decimal place"),
        ({"gloss_units": "2000.1"}, "Write 2000 or less"),
        ({"gloss_units": ""}, "This is needed"),
        ({"geometry": "45"}, "Choose one of those offered"),
        ({"example": scene.example().public_id}, "Choose one of those offered"),
        ({"instrument": "x\u202ey"}, "invisible or control character"),
    ):
        answer = browser.post(address, {**form.said, "gloss_units": "4.2", **wrong, "do": "keep"})
        assert answer.status_code == 422
        assert words in answer.text
    assert browser.post(address, {**form.said, "do": "guess"}).status_code == 404
    assert not GlossReading.objects.exists()
    send(browser, address, form, ("do", "keep"), gloss_units="4.2", instrument="small spot")
    kept = GlossReading.objects.get()
    assert (kept.tenths, kept.geometry, kept.example, kept.by) == (42, 60, own, member)
    for where in (address, page):
        text = client.get(where).text
        assert "60°: <strong>4.2 gloss units</strong>, low gloss range; on a loose example" in text
        assert "take it again at 85 degrees" in text
    stranger = as_member(MemberFactory())
    assert "You have no item of this release here" in stranger.get(address).text
    taken = {"reading": kept.public_id, "reason": "Mine.", "do": "remove"}
    assert stranger.post(address, taken).status_code == 422
    again = form_with(as_member(member).get(address), "reason")
    send(as_member(member), address, again, ("do", "remove"), reading=kept.public_id, reason="I slipped.")
    assert "Nothing yet" in client.get(address).text
