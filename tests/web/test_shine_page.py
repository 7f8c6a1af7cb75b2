"""How shiny a mark looks: beside the mark, as a page of its own, and over the API."""

import json
from pathlib import Path

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage

from registry import actions
from registry.models import Photo
from registry.queries import shine
from tests.api.caller import Caller, problem
from tests.factories import TraitFactory, states_of
from tests.path import Scene, claim_on, now
from tests.pictures import jpeg

pytestmark = pytest.mark.django_db
PANELS = Path(__file__).resolve().parents[2] / "fixtures" / "panels"
FILE = "shine_held_00.jpg"
LOOKS = json.loads((PANELS / "shine.json").read_text(encoding="utf-8"))[FILE]["panels"]


@pytest.fixture
def scene():
    return Scene()


@pytest.fixture
def mark_on(scene):
    """Marks a panel of a rendered picture, by its roughness, as the clear coat of a variant."""
    coat = TraitFactory(
        line=scene.release.line, key="coat", name="Clear coat", kind="finish", adopted_by=scene.release
    )
    [gloss] = states_of(coat, "gloss")
    variant = scene.report(scene.anchor, gloss)
    example = scene.show(variant)

    def marked(roughness, views=("raking_light",)):
        photo = scene.photo(example, views=views, width=560, height=252)
        if not default_storage.exists(photo.stored_as()):
            default_storage.save(photo.stored_as(), ContentFile((PANELS / FILE).read_bytes()))
        [box] = [panel["boxes"][1] for panel in LOOKS if panel["roughness"] == roughness]
        xywh = tuple(round(part * 100) for part in box)
        claim = claim_on(variant, coat)
        return actions.mark_region(
            photo=photo, example=example, claim=claim, xywh=xywh, by=photo.owner, at=now()
        )

    return marked


def test_a_reader_is_told_what_the_highlight_looks_like_and_that_it_is_no_verdict(client, mark_on):
    mark = mark_on(0.05)
    photo = client.get(f"/photos/{mark.photo.public_id}").text
    assert f'href="/marks/{mark.public_id}/shine"' in photo
    page = client.get(f"/marks/{mark.public_id}/shine").text
    assert "Looks glossy here" in page
    assert "no verdict" in page
    part = client.get(f"/marks/{mark.public_id}/shine", headers={"HX-Request": "true"})
    assert part.text.lstrip().startswith(f'<div id="shine-{mark.public_id}">')
    assert "<html" not in part.text
    assert "HX-Request" in part.headers["Vary"]


def test_a_matte_coat_is_told_only_in_a_photo_said_to_be_in_raking_light(client, mark_on):
    raking, other = mark_on(0.78), mark_on(0.78, views=("left",))
    assert "Looks matte here" in client.get(f"/marks/{raking.public_id}/shine").text
    even = client.get(f"/marks/{other.public_id}/shine").text
    assert "Looks" not in even
    assert "Let one lamp graze the surface" in even


def test_a_mark_on_another_kind_of_detail_or_taken_back_has_no_shine(client, scene, mark_on):
    mark = mark_on(0.1)
    other = claim_on(mark.claim.variant, scene.crest).marks.get()
    assert client.get(f"/marks/{other.public_id}/shine").status_code == 404
    assert "Judge the shine" not in client.get(f"/photos/{other.photo.public_id}").text.split("Clear coat")[0]
    problem(Caller().get(f"marks/{other.public_id}/shine"), 404, "not-found")
    actions.remove_mark(mark=mark, by=mark.by, at=now(), reason="A slip.")
    assert client.get(f"/marks/{mark.public_id}/shine").status_code == 404
    problem(Caller().get(f"marks/{mark.public_id}/shine"), 404, "not-found")


def test_a_photo_whose_file_is_gone_or_that_was_taken_down_has_none(client, scene, mark_on):
    mark = mark_on(0.1)
    default_storage.delete(mark.photo.stored_as())
    assert client.get(f"/marks/{mark.public_id}/shine").status_code == 404
    problem(Caller().get(f"marks/{mark.public_id}/shine"), 404, "not-found")
    Photo.objects.filter(pk=mark.photo_id).update(taken_down_at=now())
    assert client.get(f"/marks/{mark.public_id}/shine").status_code == 404


def test_T26_the_shine_of_a_drafts_photo_is_its_owners_alone(as_member, scene, mark_on):
    mark = mark_on(0.1)
    mark.photo.submission.sent_at = None
    mark.photo.submission.status = "draft"
    mark.photo.submission.save()
    address = f"/marks/{mark.public_id}/shine"
    assert as_member(scene.reviewers[0]).get(address).status_code == 404
    assert as_member(mark.photo.owner).get(address).status_code == 200
    problem(Caller(scene.reviewers[0]).get(f"marks/{mark.public_id}/shine"), 404, "not-found")
    assert Caller(mark.photo.owner).get(f"marks/{mark.public_id}/shine").status_code == 200


def test_programs_are_told_the_interval_in_hundredths_or_why_there_is_none(mark_on):
    shiny, plain = mark_on(0.1), mark_on(0.1)
    told = Caller().get(f"marks/{shiny.public_id}/shine").json()
    assert (told["mark"], told["looks"]) == (shiny.public_id, "glossy")
    assert told["roughness"]["low"] <= 10 <= told["roughness"]["high"]
    plain.w = plain.h = 150  # eight pixels wide
    plain.save(update_fields=["w", "h"])
    told = Caller().get(f"marks/{plain.public_id}/shine").json()
    assert (told["looks"], told["roughness"]) == (None, None)
    assert "smaller than 12 pixels" in told["sentence"]


def test_it_costs_the_same_queries_whatever_the_photo_holds(client, mark_on, django_assert_max_num_queries):
    mark = mark_on(0.1)
    for _ in range(3):
        mark_on(0.18)
    with django_assert_max_num_queries(4):
        client.get(f"/marks/{mark.public_id}/shine")


def test_a_large_photo_is_decoded_no_finer_than_the_mark_needs(mark_on):
    mark = mark_on(0.1)
    default_storage.delete(mark.photo.stored_as())
    default_storage.save(mark.photo.stored_as(), ContentFile(jpeg(2000, 1000)))
    mark.photo.width, mark.photo.height = 2000, 1000
    mark.x, mark.y, mark.w, mark.h = 0, 0, 10_000, 10_000
    assert shine.pixels_of(mark).shape == (250, 500, 3)
    mark.w, mark.h = 1000, 1000
    assert shine.pixels_of(mark).shape == (100, 200, 3)
    default_storage.delete(mark.photo.stored_as())
    default_storage.save(mark.photo.stored_as(), ContentFile(jpeg(3000, 2000)))
    mark.photo.width, mark.photo.height = 3000, 2000
    assert shine.pixels_of(mark).shape == (100, 150, 3), "six megapixels are decoded at half their size"


def test_the_cue_is_worked_out_once_for_a_picture_and_a_mark(client, mark_on, monkeypatch):
    mark, read, asked = mark_on(0.05), shine.pixels_of, []
    monkeypatch.setattr(shine, "pixels_of", lambda it: asked.append(it) or read(it))
    pages = [client.get(f"/marks/{mark.public_id}/shine").text for _ in range(2)]
    assert all("Looks glossy here" in page for page in pages)
    assert len(asked) == 1
    Photo.objects.filter(pk=mark.photo_id).update(views=["left"])
    client.get(f"/marks/{mark.public_id}/shine")
    assert len(asked) == 2, "the lamp is part of the question"
