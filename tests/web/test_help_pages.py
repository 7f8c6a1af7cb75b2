"""Help: our words lead to what they mean, and a detail's page shows how to look at it."""

import re
from pathlib import Path

import pytest
from django.utils import translation

from registry.models import TraitKind
from registry.web.glossary import TERMS, anchor_of
from registry.web.looking import BY_KIND
from tests.factories import StateFactory
from tests.path import Scene
from tests.web.everything import world

pytestmark = pytest.mark.django_db
TEMPLATES = Path("registry/templates")
STANDINGS = {"provisional", "verified", "contested", "set-apart", "struck", "merged", "split"}
OF_DETAILS = {"open", "confirmed", "disputed", "refuted"}


def anchors(text: str) -> set[str]:
    return set(re.findall(r' id="([a-z-]+)"', text))


def test_every_word_that_a_page_links_is_explained(client):
    explained = anchors(client.get("/how/words").text)
    linked = {
        key.replace("_", "-")
        for template in TEMPLATES.rglob("*.html")
        for key in re.findall(r'(?:{% term "|{{ words }}#)([a-z_-]+)"', template.read_text())
    }
    assert {"sealed", "mark", "founding-rules"} <= linked
    assert linked | STANDINGS | OF_DETAILS <= explained


def test_each_of_our_words_is_headed_where_its_anchor_is_and_means_one_thing(client):
    headed = re.findall(r'<dt id="([a-z-]+)">([^<]+)</dt>', client.get("/how/words").text)
    assert dict(headed) == {anchor: str(term) for anchor, term in TERMS.items()}
    for language in ("en", "de"):
        with translation.override(language):
            for anchor, term in TERMS.items():
                assert anchor_of(re.split(r" ?[,(]", str(term))[0]) == anchor


def test_a_standing_leads_to_its_meaning(client):
    address, _ = world().pages["variant"]
    linked = re.findall(
        r'<a class="term" href="/how/words#([a-z-]+)">([a-z ]+)</a>', client.get(address).text
    )
    assert ("open", "open") in linked
    assert {anchor for anchor, _ in linked} & STANDINGS


def test_help_leads_to_every_guide_and_the_foot_of_each_page_leads_to_help(client):
    text = client.get("/help").text
    for address in ("/how/photograph", "/how/verified", "/how/lists", "/how/votes", "/how/words"):
        assert f'href="{address}"' in text, address
    assert 'href="/help"' in client.get("/lines").text


def test_the_columns_of_a_list_are_all_explained(client):
    from registry.methods.edition import CSV_COLUMNS

    told = client.get("/how/lists").text
    between = {"line", "casting", "release", "release_id", "number"}  # “maker to year”
    assert {column for column in CSV_COLUMNS if f"<code>{column}</code>" not in told} <= between


def test_a_details_page_says_how_to_look_and_shows_what_each_state_looks_like(client):
    scene = Scene()
    base = scene.report(scene.anchor, title="Anchor")
    scene.show(base)
    StateFactory(trait=scene.crest, name="heron")
    text = client.get(f"/traits/{scene.crest.public_id}").text
    assert str(BY_KIND[TraitKind(scene.crest.kind)].words) in text
    assert 'alt="anchor, close up"' in text
    assert "no picture yet" in text


def test_every_kind_of_detail_but_a_cause_says_how_to_look_and_leads_to_what_is_there(client):
    assert set(TraitKind) - set(BY_KIND) == {TraitKind.CAUSE}
    there = anchors(client.get("/how/photograph").text)
    assert {looking.anchor for looking in BY_KIND.values()} - {""} <= there


def test_help_says_what_is_kept_of_a_picture_and_when_a_dispute_contests(client):
    photograph, verified, words = (
        client.get(f"/how/{name}").text for name in ("photograph", "verified", "words")
    )
    assert "of when, only the day is kept, and you alone are told it" in photograph
    assert "with a photograph or a second reviewer behind it" in verified
    assert "no dispute stands against it" in words
    assert "errors and samples count as missing only if you ask for them" in words
