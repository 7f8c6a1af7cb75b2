"""Reporting what was seen."""

import pytest

from registry.models import CountKind, Sighting
from tests.path import Scene
from tests.web.paper import form_with, send

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene() -> Scene:
    return Scene()


def test_a_full_count_of_a_case_is_kept_line_by_line(as_member, scene):
    base = scene.baseline()
    gull = scene.report(scene.gull, base=base)
    member = as_member(scene.author)
    address = f"/releases/{scene.release.public_id}/sighting"
    page = send(
        member,
        address,
        form_with(member.get(address), "seen_on"),
        scope="case",
        seen_on="2026-05-01",
        is_full_count="on",
        cases_compared="1",
        picked_over="no",
        traits_seen=[scene.crest.public_id],
        none_known="2",
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
    }
    assert list(sighting.traits_seen.all()) == [scene.crest]


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({}, "at least one of the boxes"),
        ({"none_known": "1", "seen_on": "2999-01-01"}, "already come"),
        ({"none_known": "1", "region": "12 Quay Street, 4301"}, "reads like an address"),
        ({"unsure_n": "2"}, "Tick which ones"),
        ({"none_known": "1", "cases_compared": "2"}, "Only a full count compares cases"),
    ],
)
def test_what_cannot_be_is_refused_and_what_was_typed_is_kept(as_member, scene, said, words):
    scene.report(scene.gull, base=scene.baseline())
    answer = as_member(scene.author).post(
        f"/releases/{scene.release.public_id}/sighting",
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
