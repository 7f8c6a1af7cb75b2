"""Marks: a region of a published photo that shows a claim on one example, inside the picture."""

import pytest

from registry import actions
from registry.actions import parse_fragment
from registry.errors import AlreadyClosed, IdentityMoved, InvalidField, NotFound, NotPermitted
from registry.models import Claim, Mark, Variant
from tests.factories import NOON, ExampleFactory, MemberFactory, PhotoFactory
from tests.path import Scene, claim_on, now

from .watching import refused

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene():
    return Scene()


@pytest.fixture
def claim(scene):
    return claim_on(scene.report(scene.anchor), scene.crest)


def mark(claim, photo, example, by=None, xywh=(0, 0, 10_000, 10_000), **said):
    return actions.mark_region(
        claim=claim, photo=photo, example=example, xywh=xywh, by=by or photo.owner, at=now(), **said
    )


@pytest.mark.parametrize(
    ("text", "xywh"),
    [("xywh=percent:10,20,30,40", (1000, 2000, 3000, 4000)), ("percent:0,0,100,100", (0, 0, 10_000, 10_000)),
     (" percent:0.5,33.333333,0.01,1 ", (50, 3333, 1, 100))],
)  # fmt: skip
def test_a_fragment_is_read_in_hundredths_of_a_percent(text, xywh):
    assert parse_fragment(text) == xywh


@pytest.mark.parametrize(
    "text", ["percent:99.99,0,0.02,1", "percent:0,0,0.001,1", "percent:1e2,0,1,1", "percent:,,,"]
)
def test_a_fragment_outside_the_picture_or_of_another_form_is_refused(text):
    with pytest.raises(InvalidField) as caught:
        parse_fragment(text)
    assert (caught.value.field, caught.value.code) == ("xywh", "validation-failed")


def test_any_member_marks_what_a_published_photo_shows(scene, claim):
    example = scene.example()
    made = mark(claim, scene.photo(example), example, by=MemberFactory(), note="crest, port side")
    assert (made.fragment, made.note) == ("xywh=percent:0,0,100,100", "crest, port side")
    assert Claim.objects.get(pk=claim.pk).examples_shown == 1


def test_two_marks_of_one_example_count_once(scene, claim):
    example = scene.example()
    photo = scene.photo(example)
    mark(claim, photo, example)
    mark(claim, photo, example)
    assert Claim.objects.get(pk=claim.pk).examples_shown == 1


@pytest.mark.parametrize(
    "xywh", [(0, 0, 0, 1), (0, 0, 1, 0), (-1, 0, 5, 5), (0, -1, 5, 5), (9999, 0, 2, 1), (0, 9999, 1, 2)]
)
def test_a_mark_outside_the_picture_is_refused(scene, claim, xywh):
    example = scene.example()
    photo = scene.photo(example)
    with refused(InvalidField, field="xywh", says=["percent:", "inside the picture"]):
        mark(claim, photo, example, xywh=xywh)


def test_the_photo_must_show_the_example(scene, claim):
    photo, example = scene.photo(scene.example()), scene.example()
    with refused(InvalidField, field="example", says=[example.public_id]):
        mark(claim, photo, example)


def test_the_example_must_be_of_the_release(scene, claim):
    example = ExampleFactory()
    photo = scene.photo(example)
    with refused(InvalidField, field="example", says=[scene.release.name]):
        mark(claim, photo, example)


def test_a_photo_that_was_taken_down_is_not_there(scene, claim):
    example = scene.example()
    photo = scene.photo(example, taken_down_at=NOON)
    with refused(NotFound, field="photo"):
        mark(claim, photo, example)


def test_a_photo_of_a_draft_is_not_there_even_for_its_owner(scene, claim):
    example = scene.example()
    photo = PhotoFactory(submission__author=example.owner, submission__release=scene.release, shows=[example])
    for by in (example.owner, MemberFactory()):
        with refused(NotFound, field="photo"):
            mark(claim, photo, example, by=by)


def test_a_closed_claim_is_not_marked(scene, claim):
    example = scene.example()
    photo = scene.photo(example)
    Claim.objects.filter(pk=claim.pk).update(closed_at=now())
    with refused(AlreadyClosed, field="claim"):
        mark(claim, photo, example)


def test_a_claim_of_a_variant_that_is_gone_is_not_marked(scene, claim):
    example = scene.example()
    photo = scene.photo(example)
    Variant.objects.filter(pk=claim.variant_id).update(standing="struck")
    with refused(IdentityMoved, field="claim"):
        mark(claim, photo, example)


@pytest.fixture
def made(scene, claim):
    example = scene.example()
    return mark(claim, scene.photo(example), example)


def test_a_mark_taken_back_stays_as_a_row_and_shows_nothing(scene, claim, made):
    actions.remove_mark(mark=made, by=made.by, at=now(), reason="It shows the shadow.")
    assert Mark.objects.get().removed_at is not None
    assert Claim.objects.get(pk=claim.pk).examples_shown == 0


def test_a_moderator_takes_back_any_mark_and_another_member_none(scene, made):
    by = MemberFactory()
    with refused(NotPermitted, says=["Dispute the claim"]):
        actions.remove_mark(mark=made, by=by, at=now(), reason="No.")
    actions.remove_mark(mark=made, by=scene.moderator, at=now(), reason="No.")
    with refused(AlreadyClosed):
        actions.remove_mark(mark=made, by=scene.moderator, at=now(), reason="No.")


def test_taking_a_mark_back_needs_a_reason(made):
    with refused(InvalidField, field="reason"):
        actions.remove_mark(mark=made, by=made.by, at=now(), reason=" ")
