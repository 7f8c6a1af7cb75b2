"""One box for everything."""

import re

import pytest

from registry.actions.index import index
from registry.methods.identifiers import show_id
from tests.factories import PackFactory, ReleaseFactory, VariantFactory
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


def test_what_is_called_so_goes_before_what_has_such_states(client):
    scene = Scene()
    scene.baseline()
    called = VariantFactory(release=scene.release, title="Anchor on red")
    for thing in (scene.anchor, scene.red, called):
        index(thing)
    text = client.get("/search", {"q": "anchor red"}).text
    assert f'href="/variants/{called.public_id}"' in text
    assert "Variants nearest to this" not in text
    assert "Variants nearest to this" in client.get("/search", {"q": "anchor, red"}).text
    assert "Is it one of these?" in client.get("/search", {"q": "ancor red"}).text


@pytest.mark.parametrize("typed", ["6291041500214", "6290141500213", "629104150213", "629 1041 5500 213"])
def test_a_bar_code_with_a_slip_is_told_so_and_the_one_beside_it_shown(client, typed):
    pack = PackFactory(name="Single card", gtin="06291041500213")
    index(pack)
    text = client.get("/search", {"q": typed}).text
    assert "type it again" in text
    assert "One digit away from it:" in text
    assert f'href="/packs/{pack.public_id}"' in text
    assert "Use fewer words" not in text


def test_a_bar_code_that_nobody_listed_is_said_to_be_so(client):
    text = client.get("/search", {"q": "6291041500213"}).text
    assert 'No pack with the code <span class="id">06291041500213</span> is listed.' in text
    text = client.get("/search", {"q": "62910416"}).text
    assert "Compare every digit of the GTIN-8" in text
    assert "One digit away" not in text


def test_a_bar_code_of_several_packs_leads_on_to_which_one_it_is(client):
    index(PackFactory(name="Single card", gtin="06291041500213"))
    leads = 'href="/identify?gtin=06291041500213"'
    assert leads not in client.get("/search", {"q": "6291041500213"}).text
    index(PackFactory(name="Two-pack", gtin="06291041500213"))
    assert leads in client.get("/search", {"q": "6291041500213"}).text


@pytest.mark.parametrize(
    ("typed", "anchor"),
    [
        ("contested", "contested"),
        (" Set  apart ", "set-apart"),
        ("running changes", "running-change"),
        ("list", "list"),
        ("tampo", "print"),
        ("reviewer", "member"),
    ],
)
def test_a_word_of_ours_leads_to_what_it_means_above_what_was_found(client, typed, anchor):
    index(VariantFactory(title=f"Anchor {typed}"))
    text = client.get("/search", {"q": typed}).text
    assert (
        0
        < text.find(f'<a href="/how/words#{anchor}">What “{typed.strip()}” means here</a>')
        < text.find(f">Anchor {typed}<")
    )


def test_a_word_of_ours_in_german_leads_there_on_german_pages(client):
    words = {
        "umstritten": "contested",
        "laufende Änderung": "running-change",
        "Liste": "list",
        "verified": "verified",
    }
    for typed, anchor in words.items():
        client.cookies.clear()
        german = client.get("/search", {"q": typed}, headers={"Accept-Language": "de"}).text
        assert f'<a href="/how/words#{anchor}">Was „{typed}“ hier heißt</a>' in german
    assert "/how/words#contested" not in client.get("/search", {"q": "umstritten"}).text


@pytest.mark.parametrize("typed", ["", "contested anchor", "s", "zzz"])
def test_other_words_lead_to_none_of_ours(client, typed):
    assert "/how/words#" not in client.get("/search", {"q": typed}).text


def test_where_a_word_of_ours_is_all_that_is_found_nothing_is_called_missing(client):
    assert "Report it." not in client.get("/search", {"q": "contested"}).text


def test_a_search_costs_as_many_queries_with_a_word_of_ours_or_a_number(client, django_assert_num_queries):
    index(ReleaseFactory(name="contested", number="Q64-011"))
    for typed in ("contested", "q64 11"):
        with django_assert_num_queries(1):
            client.get("/search", {"q": typed})


def test_a_number_stays_on_one_line_wherever_a_release_is_named(as_member):
    scene = Scene()
    type(scene.release).objects.filter(pk=scene.release.pk).update(number="Q64-031")
    scene.release.refresh_from_db()
    index(scene.release)
    scene.baseline()
    release, casting = scene.release.public_id, scene.release.casting.public_id
    for address in (
        "/search?q=q64031",
        "/identify?q=q64031",
        "/quick?q=q64031",
        "/report?q=q64031",
        f"/releases/{release}",
        f"/releases/{release}/sheet",
        f"/castings/{casting}",
    ):
        text = as_member(scene.author).get(address, follow=True).text
        page = re.sub(r"<title>.*?</title>|<meta[^>]*>", "", text)
        assert '<span class="unbroken">Q64-031</span>' in page, address
        assert "Q64-031" not in page.replace('<span class="unbroken">Q64-031</span>', ""), address
