"""Measuring on a photograph's page, without scripts: tried, kept, compared, taken back."""

import pytest

from registry.models import Measurement
from tests.factories import MemberFactory, PhotoFactory, StateFactory, TraitFactory
from tests.path import Scene, claim_on
from tests.web.paper import form_with, send

pytestmark = pytest.mark.django_db
POINTS = {"known_x1": "30", "known_y1": "50", "known_x2": "70", "known_y2": "50",
          "x1": "47.78", "y1": "50", "x2": "52.22", "y2": "50"}  # fmt: skip


@pytest.fixture
def scene() -> Scene:
    return Scene()


@pytest.fixture
def shot(scene):
    """A photo of an example whose claim has a size: 4 mm of a wheelbase of 36 mm, 2 mm being another state."""
    end = TraitFactory(line=scene.release.line, key="stripe_end", name="Stripe end", adopted_by=scene.release)
    long, _ = (
        StateFactory(trait=end, key=f"short_{n}", name=f"{n} mm short", number=n * 1000, unit="um")
        for n in (4, 2)
    )
    scene.release.casting.wheelbase_um = 36_000
    scene.release.casting.save()
    variant = scene.report(long)
    example = scene.example(owner=scene.author)
    photo = scene.photo(example)
    photo.submission.variant = variant
    photo.submission.save()
    return photo


def test_a_measurement_is_tried_kept_shown_and_taken_back(as_member, client, scene, shot):
    claim = claim_on(shot.submission.variant, scene.release.adoptions.get(trait__key="stripe_end").trait)
    address, browser = f"/photos/{shot.public_id}/measure", as_member(MemberFactory())
    assert address in browser.get(f"/photos/{shot.public_id}").text
    said = {**POINTS, "claim": claim.public_id, "pointing_px": "1", "distance_cm": "40"}
    tried = browser.post(address, {**form_with(browser.get(address), "x1").said, **said, "do": "try"})
    assert tried.status_code == 200
    assert "Not kept yet" in tried.text
    assert "4.0 ± 0.2 mm" in tried.text
    assert "at 1:64 that is 256 mm" in tried.text
    assert not Measurement.objects.exists()
    send(browser, address, form_with(browser.get(address), "x1"), ("do", "keep"), **said)
    kept = Measurement.objects.get()
    assert (kept.length_um, kept.claim, kept.distance_mm) == (3_996, claim, 400)
    for page in (address, f"/photos/{shot.public_id}"):
        text = client.get(page).text
        assert "fits <em>4 mm short</em>; does not fit <em>2 mm short</em>" in text
        assert "At 1:64 it is 256 mm on a full-size one" in text
    text = client.get(f"/variants/{claim.variant.public_id}").text
    assert "fits <em>4 mm short</em>, does not fit" not in text
    assert "fits <em>4 mm short</em>, not <em>2 mm short</em>" in text
    form = form_with(browser.get(address), "reason")
    send(browser, address, form, ("do", "remove"), measurement=kept.public_id, reason="I slipped.")
    assert "Nothing yet" in client.get(address).text


def test_what_adds_to_the_error_is_said(as_member, scene, shot):
    address, browser = f"/photos/{shot.public_id}/measure", as_member(MemberFactory())
    form = form_with(browser.get(address), "x1")
    upright = {**POINTS, "x1": "10", "y1": "20", "x2": "10", "y2": "40", "view": "slanted"}
    said = {name: value for name, value in form.said.items() if name != "same_plane"}
    text = browser.post(address, {**said, **upright, "do": "try"}).text
    for words in ("taken at a slant", "do not run the same way", "not equally far from the camera"):
        assert words in text


def test_what_is_wrong_is_told_at_its_field(as_member, client, scene, shot):
    address, browser = f"/photos/{shot.public_id}/measure", as_member(MemberFactory())
    said = {**form_with(browser.get(address), "x1").said, **POINTS}
    for wrong, words in (
        ({"x2": "101"}, "Write 100 or less"),
        ({"x2": "47.9"}, "at least 9 pixels apart"),
        ({"known_by": "ruler"}, "Say how long it is"),
        ({"known_mm": "12"}, "Leave it out"),
        ({"y1": ""}, "This is needed"),
    ):
        for do in ("try", "keep"):
            answer = browser.post(address, {**said, **wrong, "do": do})
            assert answer.status_code == 422
            assert words in answer.text
    assert not Measurement.objects.exists()
    assert browser.post(address, {**said, "do": "guess"}).status_code == 404
    scene.release.casting.wheelbase_um = None
    scene.release.casting.save()
    assert "wheelbase" not in form_with(browser.get(address), "x1").said["known_by"]
    assert "Sign in to measure" in client.get(address).text
    assert client.post(address, {**said, "do": "keep"})["Location"].startswith("/accounts/login/")
    draft = PhotoFactory(submission__author=scene.author, owner=scene.author)
    assert as_member(scene.author).get(f"/photos/{draft.public_id}/measure").status_code == 404
