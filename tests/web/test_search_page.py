"""One box for everything."""

import pytest

from registry.actions.index import index
from registry.methods.identifiers import show_id
from tests.path import Scene

pytestmark = pytest.mark.django_db


def test_words_find_and_lead_to_the_page(client):
    scene = Scene()
    index(scene.release)
    answer = client.get("/search", {"q": "brinewagon high"})
    assert f'href="/releases/{scene.release.public_id}"' in answer.text


def test_an_id_leads_straight_to_its_record(client):
    scene = Scene()
    variant = scene.baseline()
    answer = client.get("/search", {"q": show_id(variant.public_id).upper()})
    assert answer.status_code == 302
    assert answer.headers["Location"] == f"/variants/{variant.public_id}"


def test_nothing_found_says_what_to_do(client):
    text = client.get("/search", {"q": "zzzqqq"}).text
    assert "Use fewer words" in text
    assert "/report?q=zzzqqq" in text


def test_what_was_asked_is_shown_as_text_only(client):
    text = client.get("/search", {"q": '"><img src=x onerror=alert(1)>'}).text
    assert "<img src=x" not in text
    assert "&lt;img src=x" in text


def test_a_slip_is_asked_about_and_leads_on(client):
    scene = Scene()
    index(scene.release)
    text = client.get("/search", {"q": "brinewagno"}).text
    assert "Is it one of these?" in text
    assert f'href="/releases/{scene.release.public_id}"' in text
