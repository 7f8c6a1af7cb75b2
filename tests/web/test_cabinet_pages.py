"""What I own and what I lack, on pages: one tap, a file, a depth, a list, a bar code. Nobody else sees any of it."""

import re
from html import unescape

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from registry.methods.identifiers import mint
from registry.models import CabinetItem, Hunt, PackVersion
from tests.factories import (
    AssortmentItemFactory,
    CabinetItemFactory,
    MemberFactory,
    PackContentFactory,
    ReleaseFactory,
)
from tests.shelf import Shelf
from tests.web.paper import form_with, send

pytestmark = pytest.mark.django_db
GTIN = "06291041500213"


@pytest.fixture
def shelf():
    return Shelf()


@pytest.fixture
def member():
    return MemberFactory()


def file_of(text):
    return SimpleUploadedFile("cabinet.csv", text.encode(), content_type="text/csv")


def test_one_tap_on_variant_release_and_identify_puts_one_in(as_member, shelf, member):
    client, release = as_member(member), shelf.release.public_id
    variant = shelf.variants["Blue crest"]
    page = f"/variants/{variant.public_id}"
    assert f'href="/cabinet/put/{release}?variant={variant.public_id}"' in as_member().get(page).text
    for path, said in [
        (page, f"condition=loose&amp;variant={variant.public_id}"),
        (f"/releases/{release}", "condition=sealed"),
    ]:
        action = f"/cabinet/put/{release}?{said}"
        assert f'formaction="{action}"' in client.get(path).text
        answer = client.post(action.replace("&amp;", "&"), {"tap": "yes"}, follow=True)
        assert answer.redirect_chain == [(path, 302)]
        assert "is in your cabinet" in answer.text
    said = shelf.said(wheels=shelf.state("wheels", "silver"), crest=shelf.state("crest", "blue"))
    told = "&".join(
        f"{shelf.trait(key).public_id}={answer['state'].public_id}" for key, answer in said.items()
    )
    seen = f"/releases/{release}/identify?held=pack&{told}"
    action = f"/cabinet/put/{release}?variant={variant.public_id}&amp;condition=sealed"
    assert f'formaction="{action}"' in client.get(seen).text
    for _ in range(2):
        client.post(action.replace("&amp;", "&"), {"tap": "yes"})
    found = CabinetItem.objects.order_by("pk").values_list("variant", "condition", "count")
    assert list(found) == [(variant.pk, "loose", 1), (None, "sealed", 1), (variant.pk, "sealed", 1)]
    text = client.get(f"/releases/{release}").text
    assert "1 sealed, not checked yet which one" in text
    assert "In your cabinet" not in as_member(MemberFactory()).get(f"/releases/{release}").text
    assert client.post(f"/cabinet/put/{release}?condition=worn", {"tap": "yes"}).status_code == 422


def test_a_file_is_read_first_then_kept_and_taken_along(as_member, shelf, member):
    client, release = as_member(member), shelf.release.public_id
    bad = client.post("/cabinet/file", {"file": file_of(f"release,condition\n{release},worn\n")})
    assert "cannot be taken, so nothing can be kept yet" in bad.text
    for words in ('<td class="number">2</td>', "<td>condition</td>", "<td>worn</td>", "sealed, boxed, loose"):
        assert words in bad.text
    tried = client.post("/cabinet/file", {"file": file_of(f"release,condition,note\n{release},boxed,=1+1\n")})
    assert "1 would be put in" in tried.text
    assert not CabinetItem.objects.exists()
    kept = send(client, "/cabinet/file", form_with(tried, "text"), keep="yes")
    assert "1 put in, 0 changed" in kept.text
    assert (CabinetItem.objects.get().member, CabinetItem.objects.get().note) == (member, "=1+1")
    table = client.get("/cabinet/cabinet.csv")
    assert '"\'=1+1"' in table.text
    assert "no-store" in table.headers["Cache-Control"]
    again = client.post("/cabinet/file", {"file": file_of(table.text)})
    assert "0 would be put in, 0 changed, and 1 need nothing" in again.text
    assert client.post("/cabinet/file", {}).status_code == 422


def test_a_long_cabinet_comes_in_pages_and_parts(as_member, shelf, member, monkeypatch):
    monkeypatch.setattr("registry.queries.own.ON_SHELF", 2)
    for n in range(5):
        CabinetItemFactory(member=member, release=shelf.release, note=f"shelf {n}", to_swap=n == 4)
    client = as_member(member)
    shown = [client.get(f"/cabinet?page={n}").text for n in (1, 2, 3)]
    assert [sum(f"shelf {n}" in text for n in range(5)) for text in shown] == [2, 2, 1]
    assert "Those after" in shown[0]
    assert "Those after" not in shown[2]
    swaps = client.get("/cabinet?only=to-swap").text
    assert "shelf 4" in swaps
    assert "shelf 1" not in swaps
    assert client.get("/cabinet?only=everything").status_code == 404


def test_the_hunt_lists_what_is_missing_by_assortment_with_how_to_tell_it(as_member, shelf, member):
    assortment = AssortmentItemFactory(release=shelf.release).assortment
    client = as_member(member)
    client.post(f"/cabinet/put/{shelf.release.public_id}?condition=loose", {"tap": "yes"})
    text = client.get("/hunt").text
    assert f'<small>case <span class="unbroken">{assortment.case_code}</span></small>' in text
    for words in ("Roof crest: blue", "You own 1 and have not checked which"):
        assert words in text
    hidden = [
        tell
        for tell in re.findall(r"<li>\s*<div>.*?</div>", text, re.S)
        if "not all of it shows in the pack" in tell
    ]
    assert hidden
    assert not any("Roof crest" in tell for tell in hidden)
    variant = shelf.variants["Blue crest"]
    action = f"/cabinet/put/{shelf.release.public_id}?condition=sealed&back=hunt&variant={variant.public_id}"
    assert action.replace("&", "&amp;") in text
    answer = client.post(action, {"tap": "yes"}, follow=True)
    assert answer.redirect_chain == [("/hunt", 302)]
    assert "Roof crest: blue" not in answer.text
    assert "You have 1 of 4" in answer.text
    assert "Roof crest: blue" in as_member(MemberFactory()).get("/hunt").text
    narrow = f"/hunt?assortment={assortment.public_id}"
    [tap, *_] = re.findall(r'formaction="([^"]+)"', client.get(narrow).text)
    assert client.post(unescape(tap), {"tap": "yes"}).headers["Location"] == narrow
    assert client.get(f"/hunt?assortment={mint()}").status_code == 404
    assert client.get("/hunt?after=made-up").status_code == 404
    assert as_member().get("/hunt").headers["Location"].startswith("/accounts/login/")


def test_from_the_top_of_a_long_hunt_one_jumps_to_an_assortment(as_member, shelf, member):
    AssortmentItemFactory(release=shelf.release)
    client = as_member(member)
    assert 'href="#in1"' not in client.get("/hunt").text  # a single one is at the top already
    other = AssortmentItemFactory().assortment
    for page in ("/hunt", "/hunt/sheet"):
        text = client.get(page).text
        jumps = dict(re.findall(r'<li><a href="#(in\d)">([^<]+)</a> <small>1 release</small></li>', text))
        assert len(jumps) == 2
        assert other.name in " ".join(jumps.values())
        for target in jumps:
            assert f'<h2 id="{target}">' in text


def test_the_depth_is_chosen_and_kept(as_member, shelf, member):
    PackVersion.objects.create(pack=PackContentFactory(release=shelf.release).pack, name="second card")
    client = as_member(member)
    refusal = send(client, "/hunt/depth", form_with(client.get("/hunt/depth"), "depth"), depth="traits")
    assert "Choose the details that count" in refusal.text
    wheels = shelf.trait("wheels").public_id
    form = form_with(client.get("/hunt/depth"), "depth")
    page = send(
        client, "/hunt/depth", form, depth="traits", traits=[wheels], lines=[shelf.release.line.public_id]
    )
    assert "or Dated base: alike in the details that count for you" in page.text
    assert f"in {shelf.release.line}" in page.text
    hunt = Hunt.objects.get(member=member)
    assert (hunt.depth, hunt.revision) == ("traits", 1)
    stale = client.post("/hunt/depth", {"depth": "pack", "revision": "0"})
    assert stale.status_code == 422
    assert "changed by somebody else" in stale.text
    page = send(client, "/hunt/depth", form_with(client.get("/hunt/depth"), "depth"), depth="pack")
    assert "Pack: " in page.text


def test_a_bar_code_answers_with_one_of_these(as_member, shelf, member):
    pack = PackContentFactory(release=shelf.release, pack__gtin=GTIN).pack
    other = PackContentFactory(pack=pack, release=ReleaseFactory(line=shelf.release.line)).release
    CabinetItemFactory(member=member, release=other, count=3)
    client = as_member(member)
    text = client.get("/hunt/code?code=6291041500213").text
    assert "It is one of these" in text
    assert text.index(str(shelf.release)) != text.index(str(other))
    assert "You own 3." in text
    assert "You own none." in text
    wrong = client.get("/hunt/code?code=6291041500214")
    assert wrong.status_code == 422
    assert "6291041500214" in wrong.text
    assert "both ends too.</" in client.get("/hunt/code?code=123").text
    assert "No pack with the code" in client.get("/hunt/code?code=4006381333931").text


def test_the_sheet_and_its_data_are_the_members_alone_and_hold_what_notes_need(as_member, shelf, member):
    PackContentFactory(release=shelf.release, pack__gtin=GTIN)
    client = as_member(member)
    sheet = client.get("/hunt/sheet")
    assert "no-store" in sheet.headers["Cache-Control"]
    assert "csrftoken" in sheet.cookies
    assert "<noscript>" in sheet.text
    assert f'href="/releases/{shelf.release.public_id}/sighting"' in sheet.text
    told = client.get("/hunt/sheet.json").json()
    assert told["member"] == member.public_id
    assert told["codes"] == {GTIN: [shelf.release.public_id]}
    entry = told["releases"][shelf.release.public_id]
    assert [title for _, title in entry["variants"]] == list(shelf.variants)
    assert sorted(entry["seen"]) == sorted(shelf.trait(key).public_id for key in ("wheels", "crest"))
    for path in (
        "/hunt/sheet",
        "/hunt/sheet.json",
        "/hunt",
        "/hunt/depth",
        "/hunt/code",
        "/cabinet/file",
        "/cabinet/cabinet.csv",
    ):
        assert as_member().get(path).status_code == 302, path
    worker = as_member().get("/hunt/sw.js")
    assert worker.headers["Content-Type"].startswith("text/javascript")
    assert '["/hunt/sheet", "/hunt/sheet.json"]' in worker.text


def test_T26_anothers_entries_are_as_good_as_made_up_with_every_verb(as_member, shelf):
    item = CabinetItemFactory(note="a private word")
    stranger = as_member(MemberFactory())

    def answers(public_id):
        told = []
        for path in (f"/cabinet/{public_id}", f"/cabinet/{public_id}/take-out"):
            for verb in ("get", "post", "put", "patch", "delete", "head", "options"):
                answer = getattr(stranger, verb)(path)
                told.append(
                    (
                        path.replace(public_id, "ID"),
                        verb,
                        answer.status_code,
                        answer.content.replace(public_id.encode(), b"ID"),
                    )
                )
        return told

    theirs, invented = answers(item.public_id), answers(mint())
    assert theirs == invented
    assert {status for _, _, status, _ in theirs} <= {404, 405}
    assert CabinetItem.objects.get().note == "a private word"
    for path in ("/cabinet", "/cabinet/cabinet.csv", "/account/export", "/hunt"):
        assert "a private word" not in stranger.get(path).text


def test_a_page_that_says_what_i_own_is_kept_by_nothing_on_the_way(as_member, client, shelf, member):
    address = f"/releases/{shelf.release.public_id}"
    CabinetItemFactory(member=member, release=shelf.release)
    mine = as_member(member).get(address)
    assert "In your cabinet" in mine.text
    assert "private" in mine.headers["Cache-Control"]
    assert "private" not in client.get(address).headers.get("Cache-Control", "")
    picture = as_member(member).get("/feeds/changes.atom")
    assert "private" not in picture.headers["Cache-Control"]


def test_at_its_field_a_refusal_tells_the_remedy_alone_and_keeps_what_was_typed(as_member, shelf, member):
    address = f"/cabinet/put/{shelf.release.public_id}"
    said = {"condition": "loose", "count": "1", "to_swap": "5", "note": "from the quay"}
    answer = as_member(member).post(address, said)
    assert answer.status_code == 422
    assert "Send a whole number from 0 to 1." in answer.text
    assert "to_swap:" not in answer.text
    assert 'value="from the quay"' in answer.text


def test_a_cabinet_with_nothing_to_swap_says_how_something_gets_there(as_member, shelf, member):
    text = as_member(member).get("/cabinet?only=to-swap").text
    assert "say how many of it are to swap" in text
