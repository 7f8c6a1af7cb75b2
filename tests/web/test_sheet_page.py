"""The comparison sheet of a release: what tells each variant, whose the pictures are, and the same as one file."""

import re
from base64 import b64decode
from io import BytesIO
from xml.etree import ElementTree

import pytest
from django.core.cache import cache
from PIL import Image

from registry import actions
from registry.models import Photo
from registry.queries import sheet as query
from tests.factories import ReleaseFactory
from tests.path import Scene, now
from tests.pictures import jpeg
from tests.shelf import Shelf

pytestmark = pytest.mark.django_db
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture
def scene() -> Scene:
    cache.clear()
    return Scene()


def report(scene, *states, base=None, title="", colour=(200, 30, 30)):
    """A variant with a real picture of 120 x 80 pixels, whose right half is marked."""
    kind = "difference" if base else "stated"
    draft = scene.draft(base=base, title=title)
    photo = actions.attach_photo(by=scene.author, at=now(), data=jpeg(120, 80, colour), submission=draft)
    content = {
        "title": title,
        "claims": [{"trait": s.trait.public_id, "state": s.public_id, "kind": kind} for s in states],
        "examples": [{"ref": "e", "condition": "loose"}],
        "photos": [{"photo": photo.public_id, "examples": ["ref:e"], "views": []}],
        "marks": [
            {
                "photo": photo.public_id,
                "example": "ref:e",
                "trait": s.trait.public_id,
                "xywh": "percent:50,0,50,100",
            }
            for s in states
        ],
    }
    draft = actions.edit_draft(submission=draft, by=scene.author, at=now(), content=content)
    return actions.send_submission(submission=draft, by=scene.author, at=now()).variant


def test_it_tells_each_variant_with_credit_and_can_be_kept_as_one_picture(client, scene, monkeypatch):
    base = report(scene, scene.anchor, scene.black, title="Anchor & rope")
    gull = report(scene, scene.gull, base=base, title="Gull", colour=(30, 30, 200))
    scene.report(scene.chrome, base=base, title="Shiny wheels", by=scene.reviewers[0])
    scene.verify(base)
    actions.publish_edition(by=scene.moderator, at=now())
    address = f"/releases/{scene.release.public_id}/sheet"
    assert address in client.get(f"/releases/{scene.release.public_id}").text
    text = client.get(address).text
    tells = re.findall(r'<span class="tell">(.*?)</span>', text)
    assert tells == ["Wheels: black; Roof crest: anchor", "Roof crest: gull", "Wheels: chrome"]
    assert f"Pictures: 1, 2 by {scene.author.display_name}, CC BY 4.0" in text
    assert "After List no. 1 of" in text
    assert gull.shown_id in text
    answer = client.get(f"{address}.svg")
    assert (answer["Content-Type"], answer.status_code) == ("image/svg+xml", 200)
    assert "default-src 'none'" in answer["Content-Security-Policy"]
    drawn = ElementTree.fromstring(answer.content)  # noqa: S314  (our own answer)
    said = " ".join(one.text for one in drawn.iter(f"{SVG}text"))
    assert "1. Anchor & rope" in said
    assert "Roof crest: gull" in said
    assert f"by {scene.author.display_name}, CC BY 4.0" in said
    assert f"http://testserver/releases/{scene.release.public_id}" in said
    crops = [one.get("href") for one in drawn.iter(f"{SVG}image")]
    assert len(crops) == 2
    with Image.open(BytesIO(b64decode(crops[0].partition(",")[2]))) as crop:
        assert crop.size == (480, 360)
        red, _, blue = crop.getpixel((240, 180))
        assert (red > 150, blue < 90) == (True, True)
    Photo.objects.update(taken_down_at=now())
    gone = client.get(f"{address}.svg").content
    assert b"<image" not in gone
    assert b"Pictures:" not in gone
    monkeypatch.setattr(query, "MOST_CARDS", 2)
    assert "1 more variant is on the release’s page" in client.get(address).text
    assert b"1 more variant on" in client.get(f"{address}.svg").content


def test_a_tell_is_of_this_card_alone_or_says_which_others_it_may_be():
    shelf = Shelf(
        {
            "First": {"wheels": "gold", "crest": "red"},
            "Silver": {"wheels": "silver", "crest": "red"},
            "Silver again, blue": {"wheels": "silver", "crest": "blue"},
            "Gold, blue": {"wheels": "gold", "crest": "blue"},
            "Twin": {"wheels": "gold", "crest": "blue", "base": "plain"},
        }
    )
    cards = {card.variant.title: str(card.tell) for card in query.comparison_sheet(shelf.release).cards}
    assert sorted(cards["Silver"].split("; ")) == ["Front wheels: silver", "Roof crest: red"]
    assert sorted(cards["Silver again, blue"].split("; ")) == ["Front wheels: silver", "Roof crest: blue"]
    assert cards["Gold, blue"].endswith("; may still be no. 5")
    assert cards["Twin"].endswith("; may still be no. 4")


def test_the_only_variant_of_a_release_is_said_to_be_so():
    shelf = Shelf({"First": {"wheels": "gold"}})
    assert [str(card.tell) for card in query.comparison_sheet(shelf.release).cards] == ["the only one known"]


def test_a_release_without_variants_says_so_and_a_merged_one_leads_on(client, scene):
    address = f"/releases/{scene.release.public_id}/sheet"
    assert "nothing to compare yet" in client.get(address).text
    assert client.get(f"{address}.svg").status_code == 200
    other = ReleaseFactory(line=scene.release.line, casting=scene.release.casting)
    actions.merge(thing=scene.release, into=other, by=scene.moderator, at=now())
    assert client.get(address)["Location"] == f"/releases/{other.public_id}/sheet"
