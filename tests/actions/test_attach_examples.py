"""The examples that photos show: naming them, describing a photo anew, and what that moves."""

from datetime import date

import pytest

from registry import actions
from registry.errors import InTheFuture, InvalidField, NotFound, NotPermitted
from registry.models import Example, JournalEntry, Photo
from tests.factories import (
    NOON,
    ExampleFactory,
    MarkFactory,
    MemberFactory,
    ReleaseFactory,
    SubmissionFactory,
    VariantFactory,
)
from tests.path import Scene, claim_on, now
from tests.pictures import jpeg

pytestmark = pytest.mark.django_db


@pytest.fixture
def draft():
    return SubmissionFactory()


def sent(**fields):
    """A report that has been sent, on a variant of its own."""
    variant = VariantFactory()
    return SubmissionFactory(release=variant.release, variant=variant, status="sent", sent_at=NOON, **fields)


def attach(submission, data=None, **fields):
    fields = {"by": submission.author, "at": NOON, **fields}
    return actions.attach_photo(data=data or jpeg(), submission=submission, **fields)


def line(verb: str) -> JournalEntry:
    return JournalEntry.objects.get(verb=verb)


def test_a_photo_shows_own_examples_and_those_of_unknown_owner_side_by_side(draft):
    own = ExampleFactory(release=draft.release, owner=draft.author)
    unknown = ExampleFactory(release=draft.release, owner=None, added_by=MemberFactory())
    photo = attach(draft, examples=[own, unknown, own])
    assert list(photo.examples.order_by("pk")) == [own, unknown]


def test_examples_of_others_or_of_other_releases_are_refused(draft):
    anothers = ExampleFactory(release=draft.release)
    elsewhere = ExampleFactory(owner=draft.author)
    with pytest.raises(InvalidField, match="belongs to another member"):
        attach(draft, examples=[anothers])
    with pytest.raises(InvalidField, match="Choose examples of"):
        attach(draft, examples=[elsewhere])
    bare = SubmissionFactory(release=None, casting=None, author=draft.author)
    with pytest.raises(InvalidField, match="Choose the release"):
        attach(bare, examples=[elsewhere])
    assert not Photo.objects.exists()


def test_the_owner_describes_a_photo_anew(draft):
    first, second = ExampleFactory.create_batch(2, release=draft.release, owner=draft.author)
    photo = attach(draft, examples=[first], views=["base"], caption="Base")
    actions.describe_photo(photo=photo, by=draft.author, at=NOON, examples=[second, first], views=["axles"])
    photo.refresh_from_db()
    assert (photo.views, photo.caption) == (["axles"], "Base")
    entry = line("photo.described")
    assert entry.detail == {
        "id": photo.public_id,
        "examples": [first.public_id, second.public_id],
        "views": ["axles"],
    }
    actions.describe_photo(photo=photo, by=draft.author, at=NOON, examples=[], caption="")
    assert (photo.caption, photo.examples.count()) == ("", 0)


def test_only_the_owner_describes_a_photo(draft):
    hidden, seen = attach(draft), attach(sent())
    with pytest.raises(NotFound):
        actions.describe_photo(photo=hidden, by=MemberFactory(), at=NOON, caption="mine")
    with pytest.raises(NotPermitted):
        actions.describe_photo(photo=seen, by=MemberFactory(), at=NOON, caption="mine")
    assert not Photo.objects.exclude(caption="").exists()


def test_an_example_that_a_mark_names_stays_in_the_photo():
    report = sent()
    example = ExampleFactory(release=report.release, owner=report.author)
    photo = attach(report, examples=[example])
    mark = MarkFactory(photo=photo, example=example, claim__variant=report.variant)
    with pytest.raises(InvalidField, match="mark on this photo"):
        actions.describe_photo(photo=photo, by=report.author, at=NOON, examples=[])
    assert list(photo.examples.all()) == [example]
    mark.removed_at = NOON
    mark.save()
    actions.describe_photo(photo=photo, by=report.author, at=NOON, examples=[])
    assert not photo.examples.exists()


def test_describing_settles_the_release_again():
    scene = Scene()
    variant = scene.report(scene.anchor, scene.black)
    report = variant.submissions.get()
    example = scene.example(owner=scene.author)
    photo = attach(report, at=now(), examples=[example])
    scene.mark(claim_on(variant, scene.wheels), photo, example)
    assert not claim_on(variant, scene.wheels).has_sealed_proof
    actions.describe_photo(photo=photo, by=scene.author, at=now(), views=["seal_all_round"])
    assert claim_on(variant, scene.wheels).has_sealed_proof


def test_an_example_is_named_with_where_it_was_found():
    member, release = MemberFactory(), ReleaseFactory()
    example = actions.add_example(
        by=member, at=NOON, release=release, condition="sealed", found_case="NT-4", found_shop="kiosk",
        found_month=date(2026, 2, 17), country="nl", region="Zeeland",
    )  # fmt: skip
    assert (example.owner, example.added_by, example.added_at) == (member, member, NOON)
    assert (example.found_month, example.country, example.region) == (date(2026, 2, 1), "NL", "Zeeland")
    assert line("example.added").detail == {
        "id": example.public_id,
        "owner": member.public_id,
        "condition": "sealed",
        "case": "NT-4",
        "shop": "kiosk",
        "month": "2026-02",
        "release": release.public_id,
    }


def test_an_example_of_unknown_owner_belongs_to_nobody():
    example = actions.add_example(
        by=MemberFactory(), at=NOON, release=ReleaseFactory(), condition="loose", mine=False
    )
    assert example.owner is None
    detail = line("example.added").detail
    assert (detail["owner"], detail["case"], detail["shop"], detail["month"]) == (None, None, None, None)


@pytest.mark.parametrize(
    ("fields", "error", "name"),
    [
        ({"condition": "mint"}, InvalidField, "condition"),
        ({"found_month": date(2026, 8, 1)}, InTheFuture, "found_month"),
        ({"found_case": "a" * 41}, InvalidField, "found_case"),
        ({"found_shop": "kiosk\x07"}, InvalidField, "found_shop"),
        ({"country": "Holland"}, InvalidField, "country"),
        ({"region": "12 Harbour Street"}, InvalidField, "region"),
    ],
)
def test_what_is_said_of_an_example_is_checked(fields, error, name):
    with pytest.raises(error) as refusal:
        actions.add_example(
            by=MemberFactory(), at=NOON, release=ReleaseFactory(), **{"condition": "boxed", **fields}
        )
    assert refusal.value.field == name
    assert not Example.objects.exists()
