"""Two photographs side by side, without a script: on a page of their own, on the desk, and while marks are drawn."""

import re

import pytest

from registry import actions
from registry.models import Photo
from registry.queries.compare import counterpart, kept, marks_about
from tests.factories import MemberFactory
from tests.path import Scene, claim_on, now
from tests.shown import drafted, sent
from tests.web.paper import form_with, send

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("no_pair_kept")]


@pytest.fixture
def scene() -> Scene:
    return Scene()


def test_from_a_variant_one_comes_to_both_photographs_with_the_places_where_they_differ(as_member, scene):
    base, a = sent(scene, "bw24_a_1_pack_left", scene.black)
    variant, b = sent(scene, "bw24_b_1_pack_left", scene.chrome, base=base)
    reader = as_member()
    assert f"/compare?variant={variant.public_id}" in reader.get(f"/variants/{variant.public_id}").text
    assert "/compare?variant" not in reader.get(f"/variants/{base.public_id}").text
    address = f"/compare?a={a.public_id}&b={b.public_id}"
    assert reader.get(f"/compare?variant={variant.public_id}")["Location"] == address
    answer = reader.get(address)
    assert answer.status_code == 200
    assert "2 places to look at" in answer.text
    windows = re.findall(r'<svg class="crop".+?</svg>', answer.text, re.DOTALL)
    assert len(windows) == 4
    assert all("image/webp" in window and 'loading="lazy"' in window for window in windows)
    assert answer.text.count("Marked: ") == 2
    assert len(re.search(r'data-homography="([^"]+)"', answer.text)[1].split()) == 9
    assert "style=" not in answer.text
    # For the desk: the same, alone.
    alone = reader.get(address, headers={"HX-Request": "true"}).text
    assert alone.lstrip().startswith("<section")
    # A pair is kept whichever page asks, and the desk then shows it at once.
    reviewer = as_member(scene.reviewers[0])
    vote = f"/claims/{claim_on(variant, scene.wheels).public_id}/vote"
    assert 'data-homography="' in reviewer.get(vote).text


def test_the_desk_works_nothing_out_by_itself(as_member, scene):
    base, a = sent(scene, "lg24_c_1_left", scene.black)
    variant, b = sent(scene, "tm24_a_1_left", scene.chrome, base=base)
    reviewer = as_member(scene.reviewers[0])
    address = f"/claims/{claim_on(variant, scene.wheels).public_id}/vote"
    text = reviewer.get(address).text
    pair = counterpart(*marks_about(claim_on(variant, scene.wheels)))
    assert (pair.a.photo, pair.b.photo) == (a, b)
    assert kept(pair.a, pair.b) is None
    assert "Lay it over the one it differs from" in text
    link = f"/compare?a={a.public_id}&amp;b={b.public_id}"
    assert f'href="{link}"' in text
    page = reviewer.get(link.replace("&amp;", "&")).text
    assert "do not fit" in page
    assert "data-pair" not in page
    assert "do not fit" in reviewer.get(address).text


def test_one_photograph_of_both_is_cut_between_their_marks(scene):
    base, photo = sent(scene, "ps25_a_b_pair_front_left", scene.black)
    variant, other = sent(scene, "lg24_c_1_left", scene.chrome, base=base)
    claim, known = claim_on(variant, scene.wheels), claim_on(base, scene.wheels)
    example = photo.examples.get()
    actions.mark_region(
        photo=photo, example=example, claim=claim, xywh=(7000, 6000, 1000, 1000), by=photo.owner, at=now()
    )
    own, others = marks_about(claim)
    assert counterpart(own, others).b.photo == other
    pair = counterpart([mark for mark in own if mark.photo == photo], others)
    assert pair.a.photo == pair.b.photo == photo
    assert known.marks.get().x == 2300
    assert (pair.a.xywh, pair.b.xywh) == ((0, 0, 5150, 10_000), (5150, 0, 4850, 10_000))


def test_a_photograph_leads_to_those_of_its_release_of_the_same_side_first(as_member, scene):
    base, a = sent(scene, "lg24_c_1_left", scene.black, scene.anchor)
    _, other_side = sent(scene, "lg24_c_1_right", scene.chrome, base=base)
    _, same_side = sent(scene, "lg24_d_1_left", scene.gull, base=base)
    Photo.objects.filter(pk=other_side.pk).update(views=["right"])
    _, unsent = drafted(scene, "lg24_b_1_pack_left", scene.blue, base=base)
    reader = as_member()
    assert f"/compare?a={a.public_id}" in reader.get(f"/photos/{a.public_id}").text
    text = reader.get(f"/compare?a={a.public_id}").text
    listed = re.findall(r"&amp;b=(\w+)", text)
    assert listed == [same_side.public_id, other_side.public_id]
    own = as_member(scene.author).get(f"/compare?a={a.public_id}").text
    assert unsent.public_id in own
    assert as_member(MemberFactory()).get(f"/compare?a={a.public_id}&b={unsent.public_id}").status_code == 404
    mirrored = reader.get(f"/compare?a={a.public_id}&b={other_side.public_id}&mirrored=true").text
    assert "data-homography" in mirrored
    assert "Not mirrored" in mirrored
    assert "There are no photographs of both" not in text
    assert "was not said to differ" in reader.get(f"/compare?variant={base.public_id}").text


def test_what_cannot_be_compared_is_said_so(as_member, scene):
    _, a = sent(scene, "lg24_c_1_left", scene.black)
    reader, both = as_member(), f"/compare?a={a.public_id}&b={a.public_id}"
    assert "the same picture" in reader.get(both).text
    answer = reader.get(both + "&a_xywh=percent:90,0,20,20")
    assert answer.status_code == 422
    assert "inside the picture" in answer.text
    for address in ("/compare", "/compare?a=x", f"/compare?a={a.public_id}&b=000000000000"):
        assert reader.get(address).status_code == 404, address
    actions.take_down_photo(photo=a, by=scene.moderator, at=now(), reason="A face.")
    assert reader.get(both).status_code == 404


def test_while_marks_are_drawn_differences_are_offered_and_begin_a_mark_but_never_make_one(as_member, scene):
    base, a = sent(scene, "bw24_a_1_pack_left", scene.black)
    draft, b = drafted(scene, "bw24_b_1_pack_left", scene.chrome, base=base)
    author, address = as_member(scene.author), f"/drafts/{draft.public_id}/marks"
    first = author.get(address).text
    assert f"?compare={b.public_id}#photo1" in first
    assert "Mark this" not in first
    offered = author.get(f"{address}?compare={b.public_id}").text
    assert offered.count("Mark this") == 2
    assert f"/photos/{a.public_id}" in offered
    begun = author.get(f"{address}?compare={b.public_id}&place=2")
    form = form_with(begun, "left")
    x, y, w, h = (float(form.said[part][0]) for part in ("left", "top", "width", "height"))
    assert 60 < x < 70
    assert 62 < y < 72
    assert 5 < w < 12
    draft.refresh_from_db()
    assert len(draft.content["marks"]) == 1
    send(author, address, form, ("do", "mark"), what=f"variant {scene.wheels.public_id}", example="ref:e1")
    draft.refresh_from_db()
    assert len(draft.content["marks"]) == 2
    assert draft.content["marks"][1]["photo"] == b.public_id
    for odd in ("0", "99", "²", "-1", "x" * 50):
        assert author.get(address, {"compare": b.public_id, "place": odd}).status_code == 200
