"""Colours on pages: what was measured, by which chart, two marks side by side, and the way on to identify."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from registry.models import Chart
from tests.coloured import INDIGO, SWAPPED, Blues, spot
from tests.factories import MemberFactory
from tests.path import claim_on
from tests.pictures import jpeg
from tests.web.paper import form_with, send

pytestmark = pytest.mark.django_db


@pytest.fixture
def blues():
    return Blues()


def test_what_was_measured_is_read_by_anybody_and_leads_to_identify(
    client, as_member, blues, django_capture_on_commit_callbacks
):
    with django_capture_on_commit_callbacks(execute=True):
        photo, marks = blues.pictured(SWAPPED, "patch_chart")
    page = client.get(f"/photos/{photo.public_id}").text
    assert "Measured by the 24-patch chart in the picture, found by the program" in page
    assert "Closest to harbour navy (ΔE" in page
    assert "clearly not harbour indigo (ΔE" in page
    assert "Keep the chart" not in page, "a reader points out nothing"
    assert page.count("Use what was measured here to ask which one it is") == 2, "one link for each item"

    link = page.split('<li><a href="', 1)[1]
    address = next(
        part.split('"')[0].replace("&amp;", "&")
        for part in page.split('href="')
        if "/identify?" in part.split('"')[0]
    )
    asked = client.get(address).text
    assert link
    assert "as measured: " in asked
    assert "give or take ΔE" in asked
    assert asked.count("Take this answer back") == 1
    first = asked.split('class="plain ranking"')[1].split("</li>")[0]
    assert blues.navy.public_id in first, "the navy one is the likeliest"
    assert "Body, harbour navy on this one: speaks for it." in asked
    off = address.split("?")[0]
    assert "as measured" not in client.get(off).text

    compared = client.get(
        f"/photos/{photo.public_id}", {"one": marks[0].public_id, "other": marks[1].public_id}
    ).text
    assert "The two differ in this light (ΔE" in compared
    assert "Swap the two models" in compared
    assert client.get(f"/photos/{photo.public_id}", {"one": "x", "other": "y"}).status_code == 200

    assert "Closest to harbour navy" in client.get(f"/variants/{blues.navy.public_id}").text
    reviewer = as_member(blues.scene.reviewers[0])
    claim = claim_on(blues.indigo, blues.body)
    assert "Closest to harbour indigo" in reviewer.get(f"/claims/{claim.public_id}/vote").text

    with CaptureQueriesContext(connection) as before:
        client.get(f"/photos/{photo.public_id}")
    with django_capture_on_commit_callbacks(execute=True):
        for n in range(3):
            x, y, w, h = spot(SWAPPED, INDIGO)
            blues.mark(photo, INDIGO, (x + 10 * n, y, w, h))
    with CaptureQueriesContext(connection) as after:
        client.get(f"/photos/{photo.public_id}")
    assert len(after) == len(before), "more marks cost no more queries"


def test_a_member_points_out_a_card_is_refused_in_words_and_takes_it_back(as_member, blues):
    photo = blues.photo(jpeg(200, 100, (110, 112, 111)))
    member, address = as_member(photo.owner), f"/photos/{photo.public_id}"
    page = member.get(address)
    assert "Nobody has pointed out a chart or grey card" in page.text
    chart = f"{address}/chart"
    assert "is seen whole in it" in member.post(chart, {"do": "look"}).text
    corners = {"x1": "5", "y1": "5", "x2": "95", "y2": "5", "x3": "95", "y3": "95", "x4": "5", "y4": "95"}
    wrong = member.post(chart, {"do": "keep", "kind": "patch_chart", **corners})
    assert wrong.status_code == 422
    assert "patches differ" in wrong.text
    assert 'value="95"' in wrong.text, "what was typed is kept"
    assert member.post(chart, {"do": "keep", "kind": "grey_card"}).status_code == 422
    assert member.post(chart, {"do": "burn"}).status_code == 404
    assert not Chart.objects.exists()
    kept = send(member, address, form_with(page, "x1"), ("do", "keep"), kind="grey_card", **corners)
    assert "Measured by the grey card in the picture, pointed out by" in kept.text
    assert Chart.objects.get().corners == [[500, 500], [9500, 500], [9500, 9500], [500, 9500]]
    stranger = as_member(MemberFactory())
    assert "Move the chart" not in stranger.get(address).text
    for do in ("look", "keep", "none"):
        answer = stranger.post(chart, {"do": do, "kind": "grey_card", **corners})
        assert answer.status_code == 403
        assert "who added the photo" in answer.text
    assert Chart.objects.count() == 1
    gone = as_member(photo.owner).post(chart, {"do": "none"}, follow=True)
    assert "Nobody has pointed out a chart or grey card" in gone.text
