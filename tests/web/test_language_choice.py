"""A page is in the language its reader chose, else in the one their browser asks for; programs read English."""

import pytest

from registry.models import Variant
from tests.path import Scene, claim_on

pytestmark = pytest.mark.django_db
GERMAN = {"accept-language": "de-DE,de;q=0.9"}


@pytest.fixture
def scene():
    return Scene()


def test_a_page_is_in_the_language_the_browser_asks_for(client):
    page = client.get("/", headers=GERMAN)
    assert page["Content-Language"] == "de"
    assert "Accept-Language" in page["Vary"]
    assert '<html lang="de">' in page.text
    assert '<html lang="en-GB">' in client.get("/").text
    assert '<html lang="en-GB">' in client.get("/", headers={"accept-language": "fr"}).text


def test_the_language_chosen_stays_whatever_the_browser_asks_for(client):
    chosen = client.post("/language", {"language": "de", "next": "/lines"})
    assert (chosen.status_code, chosen["Location"]) == (302, "/lines")
    assert '<html lang="de">' in client.get("/", headers={"accept-language": "en"}).text
    client.post("/language", {"language": "en-gb", "next": "/"})
    assert '<html lang="en-GB">' in client.get("/", headers=GERMAN).text


def test_choosing_a_language_leads_to_no_other_site(client):
    assert (
        client.post("/language", {"language": "de", "next": "https://elsewhere.example/"})["Location"] == "/"
    )


def test_programs_read_english(client, scene):
    variant = scene.report(scene.anchor, scene.red, scene.black)
    client.cookies["django_language"] = "de"
    told = client.get(f"/v1/variants/{variant.public_id}/standing", headers=GERMAN)
    assert "Content-Language" not in told
    assert "more votes on roof crest" in told.json()["missing"]
    refusals = [client.get("/v1/variants?standing=nothing", headers=wanted).json() for wanted in (GERMAN, {})]
    assert refusals[0]["status"] == 400
    assert refusals[0]["detail"] == refusals[1]["detail"]


def test_what_is_missing_is_read_in_the_readers_language_whoever_made_it_so(client, as_member, scene):
    variant = scene.report(scene.anchor, scene.red, scene.black)
    page = f"/variants/{variant.public_id}"
    claim = claim_on(variant, scene.crest)
    vote = {"verdict": "confirms", "basis": "photo"}
    assert (
        as_member(scene.reviewers[0])
        .post(f"/claims/{claim.public_id}/vote", vote, headers=GERMAN)
        .status_code
        < 400
    )
    assert "more votes on roof crest" in client.get(page).text
    german = client.get(page, headers=GERMAN).text
    assert "more votes on" not in german
    assert "weitere Stimmen zu „Roof crest“" in german
    assert Variant.objects.get().missing[0].startswith("two more votes on roof crest")


def test_a_refusal_is_in_the_readers_language(as_member, scene):
    variant = scene.report(scene.anchor, scene.red, scene.black)
    claim = claim_on(variant, scene.crest)
    vote = {"verdict": "confirms", "basis": "photo"}
    said = {
        language: as_member(scene.author).post(
            f"/claims/{claim.public_id}/vote", vote, headers={"accept-language": language}
        )
        for language in ("en", "de")
    }
    assert "You reported this" in said["en"].text
    assert "You reported this" not in said["de"].text
    assert "gemeldet" in said["de"].text


def test_the_scripts_words_come_in_each_language_and_only_in_those(client):
    german = client.get("/words/de.js")
    assert german["Content-Type"].startswith("text/javascript")
    assert "Wird gesendet" in german.text
    assert "Wird gesendet" not in client.get("/words/en-gb.js").text
    assert client.get("/words/xx.js").status_code == 404
    again = client.get("/words/de.js", headers={"if-none-match": german["ETag"]})
    assert (again.status_code, german["Cache-Control"]) == (304, "public, max-age=3600")
