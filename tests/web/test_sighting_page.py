"""Reporting what was seen."""

import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from registry.models import CountKind, Photo, Sighting, Trait
from tests.factories import SightingFactory
from tests.path import Scene
from tests.pictures import jpeg
from tests.web.paper import form_with, send

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene() -> Scene:
    return Scene()


def test_a_full_count_of_a_case_is_kept_line_by_line(as_member, scene):
    base = scene.baseline()
    gull = scene.report(scene.gull, base=base)
    member = as_member(scene.author)
    address = f"/releases/{scene.release.public_id}/sighting?as=count"
    page = send(
        member,
        address,
        form_with(member.get(address), "seen_on"),
        scope="case",
        seen_on="2026-05-01",
        total="46",
        cases_compared="1",
        picked_over="no",
        traits_seen=[scene.crest.public_id],
        none_known="2",
        could_not_tell="1",
        unsure=[base.public_id, gull.public_id],
        unsure_n="3",
        country="NL",
        region="Zeeland",
        **{f"n_{base.public_id}": "40"},
    )
    assert page.request["PATH_INFO"] == f"/releases/{scene.release.public_id}"
    sighting = Sighting.objects.get()
    lines = {line.kind: (line.n, set(line.variants.all())) for line in sighting.count_lines.all()}
    assert lines == {
        CountKind.VARIANT: (40, {base}),
        CountKind.ONE_OF_THESE: (3, {base, gull}),
        CountKind.NONE_KNOWN: (2, set()),
        CountKind.COULD_NOT_TELL: (1, set()),
    }
    assert list(sighting.traits_seen.all()) == [scene.crest]
    # Whether a case was picked over is not asked: only a peg can be.
    assert (sighting.is_full_count, sighting.total, sighting.picked_over) == (True, 46, "unknown")


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({}, "at least one of the boxes"),
        ({"none_known": "1", "seen_on": "2999-01-01"}, "already come"),
        ({"none_known": "1", "region": "12 Quay Street, 4301"}, "reads like an address"),
        ({"unsure_n": "2"}, "Tick which ones"),
        ({"none_known": "40", "total": "72"}, "Your lines add up to 40, not to 72"),
        ({"none_known": "1", "cases_compared": "2"}, "1 items cannot come from 2 cases"),
    ],
)
def test_what_cannot_be_is_refused_and_what_was_typed_is_kept(as_member, scene, said, words):
    scene.report(scene.gull, base=scene.baseline())
    answer = as_member(scene.author).post(
        f"/releases/{scene.release.public_id}/sighting?as=count",
        {"scope": "peg", "picked_over": "unknown", "seen_on": "2026-05-01", "note": "Typed words", **said},
    )
    assert answer.status_code == 422
    assert words in answer.text
    assert 'value="Typed words"' in answer.text
    assert not Sighting.objects.exists()


def test_a_release_without_a_known_variant_can_be_counted_too(as_member, scene):
    member = as_member(scene.author)
    address = f"/releases/{scene.release.public_id}/sighting"
    form = form_with(member.get(address), "seen_on")
    assert "unsure" not in form.names
    send(member, address, form, seen_on="2026-05-01", none_known="4")
    assert Sighting.objects.get().count_lines.get().kind == CountKind.NONE_KNOWN


def test_a_find_needs_no_more_than_one_number(as_member, scene):
    base = scene.baseline()
    member = as_member(scene.author)
    address = f"/releases/{scene.release.public_id}/sighting"
    form = form_with(member.get(address), "seen_on")
    assert form.said["seen_on"] == [timezone.localdate().isoformat()]
    assert "traits_seen" not in form.names
    send(member, address, form, **{f"n_{base.public_id}": "1"})
    sighting = Sighting.objects.get()
    assert (sighting.scope, sighting.is_full_count) == ("item", False)


def test_the_place_of_the_last_sighting_is_there_for_the_next(as_member, scene):
    SightingFactory(by=scene.author, country="NL", region="Zeeland")
    form = form_with(as_member(scene.author).get(f"/releases/{scene.release.public_id}/sighting"), "seen_on")
    assert (form.said["country"], form.said["region"]) == (["NL"], ["Zeeland"])


def test_the_item_one_owns_counts_once(as_member, scene):
    base = scene.baseline()
    example = scene.example(owner=scene.author)
    member, address = as_member(scene.author), f"/releases/{scene.release.public_id}/sighting"
    said = {f"n_{base.public_id}": "1", "example": example.public_id, "is_offer": "on"}
    send(member, address, form_with(member.get(address), "example"), **said)
    assert (Sighting.objects.get().example, Sighting.objects.get().is_offer) == (example, True)
    again = send(member, address, form_with(member.get(address), "example"), **said)
    assert again.status_code == 422
    assert Sighting.objects.get().shown_id in again.text


def test_details_that_show_in_a_sealed_pack_are_ticked_beforehand(as_member, scene):
    Trait.objects.filter(pk=scene.wheels.pk).update(seen_in_pack=False)
    member = as_member(scene.author)
    form = form_with(member.get(f"/releases/{scene.release.public_id}/sighting?as=count"), "traits_seen")
    assert scene.crest.public_id in form.said["traits_seen"]
    assert scene.wheels.public_id not in form.said["traits_seen"]


def test_a_comparison_without_a_difference_has_a_short_form(as_member, scene):
    base = scene.baseline()
    member, address = as_member(scene.author), f"/releases/{scene.release.public_id}/sighting?as=compared"
    form = form_with(member.get(address), "all_were")
    send(member, address, form, n="140", cases_compared="9", all_were=base.public_id, scope="case")
    sighting = Sighting.objects.get()
    assert (sighting.no_difference, sighting.is_full_count, sighting.cases_compared) == (True, True, 9)
    assert [(line.n, line.variants.get()) for line in sighting.count_lines.all()] == [(140, base)]
    page = member.get(f"/releases/{scene.release.public_id}").text
    assert "140 examples from 9 shipping cases were counted in full, and no difference was seen" in page


def test_a_photograph_comes_with_it_and_a_bad_one_loses_nothing(as_member, scene):
    member, address = as_member(scene.author), f"/releases/{scene.release.public_id}/sighting"
    said = {"scope": "peg", "seen_on": "2026-05-01", "none_known": "1"}
    member.post(address, said | {"photo": SimpleUploadedFile("peg.jpg", jpeg())})
    assert Photo.objects.get().sighting == Sighting.objects.get()
    page = member.post(address, said | {"photo": SimpleUploadedFile("x.jpg", b"no picture")}, follow=True)
    assert "The photograph was not taken" in page.text
    assert (Photo.objects.count(), Sighting.objects.count()) == (1, 2)


def test_the_three_ways_to_tell_are_named_beside_each_other(as_member, scene):
    page = as_member(scene.author).get(f"/releases/{scene.release.public_id}/sighting").text
    for way, title in [
        ("find", "I found one"),
        ("count", "I counted everything there"),
        ("compared", "I compared them: no difference"),
    ]:
        assert re.search(rf'<a href="\?as={way}"[^>]*>{title}</a>', page)


def test_there_is_no_fourth_way(as_member, scene):
    member = as_member(scene.author)
    assert member.get(f"/releases/{scene.release.public_id}/sighting?as=guess").status_code == 404


# Files ------------------------------------------------------------------------------------------------------------


def test_a_file_is_read_first_and_then_kept(as_member, scene):
    base = scene.baseline()
    table = (
        "key,release,scope,seen_on,counts,note\r\n"
        f'a,{scene.release.public_id},peg,2026-05-01,{base.public_id} = 2,"<b>&amp; “tide”</b>"\r\n'
    )
    member, address = as_member(scene.author), "/account/sightings/import"
    page = member.post(address, {"file": SimpleUploadedFile("seen.csv", table.encode())})
    assert "1 sighting would be kept" in page.text
    assert not Sighting.objects.exists()
    page = send(member, address, form_with(page, "text"), keep="yes")
    assert page.request["PATH_INFO"] == "/account"
    assert Sighting.objects.get().note == "<b>&amp; “tide”</b>"


def test_every_fault_of_a_file_is_shown_and_nothing_is_offered_to_keep(as_member, scene):
    table = (
        f"release,scope,seen_on,counts\n{scene.release.public_id},town,2026-05-01,none known = 1\nx,peg,1,y\n"
    )
    member = as_member(scene.author)
    page = member.post("/account/sightings/import", {"file": SimpleUploadedFile("seen.csv", table.encode())})
    assert "2 lines cannot be taken" in page.text
    assert "town" in page.text
    assert 'name="keep"' not in page.text
    page = member.post("/account/sightings/import", {"text": table, "keep": "yes"})
    assert page.status_code == 422
    assert "none was kept" in page.text
    assert member.post("/account/sightings/import", {}).status_code == 422
    assert not Sighting.objects.exists()


def test_a_file_as_large_as_the_page_takes_comes_back_whole(as_member, scene):
    lines = [f"{scene.release.public_id},peg,2026-05-01,none known = 1,{'ä' * 300}" for _ in range(1_390)]
    table = "\n".join(["release,scope,seen_on,counts,note", *lines]).encode()
    assert 850_000 < len(table) <= 900_000
    member, address = as_member(scene.author), "/account/sightings/import"
    page = member.post(address, {"file": SimpleUploadedFile("seen.csv", table)})
    send(member, address, form_with(page, "text"), keep="yes")
    assert Sighting.objects.count() == 1_390
    more = SimpleUploadedFile("seen.csv", table + b"\n" * 100_000)
    assert "900,000 can be taken here" in member.post(address, {"file": more}).text


@pytest.mark.parametrize("address", ["/account/sightings/import", "/cabinet/file"])
def test_a_file_that_is_needed_is_not_called_optional(as_member, scene, address):
    member = as_member(scene.author)
    for page in (
        member.get(address),
        member.post(address, {}),
        member.post(address, {"text": "x", "keep": "yes"}),
    ):
        assert '<label for="id_file">The file</label>' in page.text
    assert "Choose a file." in member.post(address, {}).text
