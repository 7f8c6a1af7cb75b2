"""Which one is it, without a script: a form whose answers stand in its address."""

import re

import pytest

from registry.models import Casting, Release, Submission
from registry.queries.identify import reading
from tests.factories import MarkFactory, MemberFactory, PackContentFactory, PhotoFactory, ReleaseFactory
from tests.shelf import Shelf
from tests.web.paper import form_with, send

pytestmark = pytest.mark.django_db
HELD = "held=loose&light=yes&glass=yes"


@pytest.fixture
def shelf():
    return Shelf()


def look(client, shelf, held=HELD, **seen):
    """Open the page with these states, or words, chosen."""
    named = {key: state.public_id for key, state in shelf.states.items()}
    chosen = {shelf.traits[trait].public_id: named.get((trait, word), word) for trait, word in seen.items()}
    said = "&".join(f"{trait}={value}" for trait, value in chosen.items())
    return client.get(f"/releases/{shelf.release.public_id}/identify?{held}&{said}")


def ranked(answer):
    return re.findall(r'<a href="/variants/\w+">([^<]+)</a>', answer.text)


def test_nothing_said_asks_for_the_detail_that_tells_most(as_member, shelf):
    answer = as_member().get(f"/releases/{shelf.release.public_id}/identify")
    assert "Look next at: Front wheels" in answer.text
    assert "4 variants are listed" in answer.text
    assert "Report it as new" not in answer.text


def test_each_answer_moves_the_ranking_and_stays_in_the_address(as_member, shelf):
    answer = look(as_member(), shelf, wheels="silver", crest="blue")
    assert ranked(answer)[0] == "Blue crest"
    assert "Roof crest, blue on this one: speaks for it." in answer.text
    assert answer.text.count(" checked") == 5  # the two answers, and what is at hand


def test_it_ends_at_the_variant_the_cabinet_or_a_sighting(as_member, shelf):
    text = look(as_member(), shelf, wheels="silver", crest="blue").text
    variant = shelf.variants["Blue crest"].public_id
    assert f'class="button" href="/variants/{variant}"' in text
    assert f"/cabinet/put/{shelf.release.public_id}?variant={variant}" in text
    sighting = f"/releases/{shelf.release.public_id}/sighting?variant={variant}"
    assert f'href="{sighting}"' in text
    form = as_member(MemberFactory()).get(sighting).text
    assert re.search(rf'name="n_{variant}" value="1"', form)
    assert len(re.findall(r'name="n_\w+" value="1"', form)) == 1


def test_in_the_blister_only_what_is_seen_there_is_asked(as_member, shelf):
    text = look(as_member(), shelf, held="held=pack", wheels="gold").text
    assert "Look next at: Roof crest" in text
    assert "Base text</legend>" not in text
    assert "With the item out of its pack and a view of the base, base text would tell more." in text


def test_an_answer_is_taken_back_by_its_link(as_member, shelf):
    text = look(as_member(), shelf, wheels="silver", crest="blue").text
    back = re.search(r'href="([^"]+)">Take this answer back<span class="unseen">: Roof crest', text)
    again = as_member().get(back[1].replace("&amp;", "&"))
    assert "Roof crest: <strong>" not in again.text
    assert "Front wheels: <strong>silver" in again.text


@pytest.mark.parametrize("word", ["unsure", "hidden"])
def test_not_sure_and_not_visible_are_answers_that_tell_nothing(as_member, shelf, word):
    text = look(as_member(), shelf, wheels=word).text
    assert "Nothing has been seen yet" in text
    assert "Look next at: Front wheels" not in text


def test_states_are_shown_as_marked_pictures_where_there_are_any(as_member, shelf):
    claim = shelf.variants["First"].claims.get(trait=shelf.traits["wheels"])
    MarkFactory(claim=claim, photo=PhotoFactory())
    text = look(as_member(), shelf).text
    assert 'alt="gold, close up"' in text
    assert "See where on a photograph" in text
    assert 'alt="silver, close up"' not in text


def test_what_no_variant_has_leads_to_a_report_with_everything_filled_in(as_member, shelf):
    text = look(as_member(), shelf, wheels="gold", crest="blue").text
    address = re.search(r'href="(/report\?[^"]+)">Report it as new', text)[1].replace("&amp;", "&")
    assert "/accounts/login/" in as_member().get(address)["Location"]
    author = as_member(MemberFactory())
    begin = author.get(address)
    assert "With what you saw: Front wheels: gold; Roof crest: blue." in begin.text
    states = re.findall(r'name="state" value="(\w+)"', begin.text)
    base = re.search(r'name="differs_from" value="(\w+)"', begin.text)[1]
    sent = author.post("/report/begin", {"state": states, "differs_from": base})
    draft = Submission.objects.get()
    assert sent["Location"] == f"/drafts/{draft.public_id}/details"
    kinds = {claim["trait"]: claim["kind"] for claim in draft.content["claims"]}
    assert set(kinds.values()) == {"difference", "alike"}
    page = author.get(sent["Location"])
    assert f'value="{shelf.states["crest", "blue"].public_id}" selected' in page.text


def test_what_nobody_has_listed_is_to_be_named_in_the_report(as_member, shelf):
    text = look(as_member(), shelf, wheels="none", crest="none", base="plain").text
    assert "Report it as new" in text
    assert "In it you name what you saw on: Front wheels, Roof crest." in text
    address = re.search(r'href="(/report\?[^"]+)">Report it as new', text)[1].replace("&amp;", "&")
    author = as_member(MemberFactory())
    begin = author.get(address)
    assert (
        "To name: what you saw on Front wheels, Roof crest, as none of the listed states fits." in begin.text
    )
    sent = send(
        author, "/report", form_with(begin, "none"), ("differs_from", begin.context["chosen"][1].public_id)
    )
    draft = Submission.objects.get()
    assert draft.content["note"] == "None of the listed states fits what I see: Front wheels, Roof crest."
    assert f'value="{shelf.traits["wheels"].public_id}" selected' in sent.text, (
        "the first to be named is chosen"
    )
    assert [claim["trait"] for claim in draft.content["claims"]] == [shelf.traits["base"].public_id]


@pytest.mark.parametrize("rows", [{"One": {"wheels": "gold"}}, {"One": {}}, {"One": {}, "Two": {}}])
def test_a_release_of_one_variant_or_of_nothing_known_has_its_page(as_member, rows):
    shelf = Shelf(rows)
    shelf.trait("crest")
    answer = look(as_member(), shelf, wheels="none") if shelf.states else look(as_member(), shelf)
    assert answer.status_code == 200
    assert ranked(answer) == list(rows)
    assert ("Report it as new" in answer.text) is bool(shelf.states)


def test_a_release_without_variants_offers_to_report_the_first(as_member):
    shelf = Shelf({})
    text = look(as_member(), shelf).text
    assert "no variant is listed yet" in text
    assert f'href="/report?release={shelf.release.public_id}"' in text


def test_what_an_address_says_amiss_is_passed_over(as_member, shelf):
    stranger = Shelf({"Other": {"wheels": "gold"}}).states["wheels", "gold"]
    wheels = shelf.traits["wheels"].public_id
    answer = as_member().get(
        f"/releases/{shelf.release.public_id}/identify?held=x&{wheels}={stranger.public_id}&a=b&{stranger.trait.public_id}=none"
    )
    assert answer.status_code == 200
    assert "Nothing has been seen yet" in answer.text


def test_htmx_is_given_the_form_alone(as_member, shelf):
    address = f"/releases/{shelf.release.public_id}/identify"
    part = as_member().get(address, headers={"HX-Request": "true"})
    assert part.text.lstrip().startswith("<form")
    assert "HX-Request" in part["Vary"]
    restored = {"HX-Request": "true", "HX-History-Restore-Request": "true"}
    assert "<main" in as_member().get(address, headers=restored).text


def test_a_casting_ranks_the_variants_of_all_its_releases(as_member, shelf):
    again = ReleaseFactory(line=shelf.release.line, casting=shelf.release.casting, name="Ebb")
    Shelf({"Re-issue": {"wheels": "white"}}, again)
    text = as_member().get(f"/castings/{shelf.release.casting.public_id}/identify").text
    assert "5 variants are listed" in text
    assert f'href="/releases/{again.public_id}/identify"' in text


@pytest.mark.parametrize("kind", ["release", "casting"])
def test_a_merged_record_leads_to_its_survivors_page(as_member, shelf, kind):
    survivor = shelf.release if kind == "release" else shelf.release.casting
    model = Release if kind == "release" else Casting
    other = ReleaseFactory(line=shelf.release.line)
    gone = other if kind == "release" else other.casting
    model.objects.filter(pk=gone.pk).update(acceptance="merged", merged_into=survivor)
    answer = as_member().get(f"/{kind}s/{gone.public_id}/identify")
    assert answer["Location"] == f"/{kind}s/{survivor.public_id}/identify"


# Beginning ----------------------------------------------------------------------------------------------------------


def test_a_bar_code_of_one_release_leads_straight_to_it(as_member, shelf):
    PackContentFactory(release=shelf.release, pack__gtin="06291041500213")
    answer = as_member().get("/identify?q=6291041500213")
    assert answer["Location"] == f"/releases/{shelf.release.public_id}/identify"


def test_a_bar_code_of_several_asks_which_one_of_these(as_member, shelf):
    other = Shelf({"Kelp Runner": {"wheels": "black"}}, ReleaseFactory(line=shelf.release.line))
    pack = PackContentFactory(release=shelf.release, pack__gtin="06291041500213").pack
    PackContentFactory(release=other.release, pack=pack)
    answer = as_member().get("/identify?q=629 1041 500213")
    page = as_member().get(answer["Location"])
    assert "It is one of 2 releases" in page.text
    assert "5 variants are listed" in page.text
    assert '<input type="hidden" name="gtin" value="06291041500213">' in page.text


def test_it_may_begin_with_a_line_or_with_nothing(as_member, shelf):
    assert "4 variants are listed" in as_member().get(f"/identify?line={shelf.release.line.public_id}").text
    assert "4 variants are listed" in as_member().get("/identify?all=yes").text
    start = as_member().get("/identify?q=nothingofthesort").text
    assert "Nothing has all of these words" in start
    assert f"/identify?line={shelf.release.line.public_id}" in start


def test_how_many_are_left_out_of_the_ranking_is_said(as_member, shelf, monkeypatch):
    assert "not shown" not in as_member().get("/identify?all=yes").text
    monkeypatch.setattr("registry.web.views.identify.RANKED", 3)
    assert "1 other variant is not shown" in as_member().get("/identify?all=yes").text


def test_too_many_at_once_is_said_plainly(as_member, shelf, monkeypatch):
    monkeypatch.setattr(reading, "MOST_VARIANTS", 2)
    answer = as_member().get("/identify?all=yes")
    assert answer.status_code == 422
    assert "Name a line, casting or release" in answer.text


@pytest.mark.parametrize("query", ["line=x", "gtin=1", "line=4k7d9xwpm2cx"])
def test_a_line_or_bar_code_that_is_none_is_not_found(as_member, query):
    assert as_member().get(f"/identify?{query}").status_code == 404
