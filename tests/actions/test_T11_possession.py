"""T11: a report's own code on paper in the picture, seen by reviewers; it weighs nothing."""

from datetime import timedelta

import pytest

from registry import actions
from registry.errors import (
    AlreadyClosed,
    ConflictDeclared,
    InvalidField,
    NotFound,
    OwnSubmission,
    RoleRequired,
)
from registry.models import CodeSeen, JournalEntry, Photo, ShotCode
from registry.queries.possession import code_words, with_codes_seen
from tests.factories import NOON, MemberFactory, PhotoFactory, ReviewerFactory, SightingFactory
from tests.path import Scene, claim_on, now

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene():
    return Scene()


@pytest.fixture
def photo(scene):
    """Of a sent report that has the code K7DXW4 since a day before."""
    photo = scene.photo(scene.example())
    give(photo, "K7DXW4", days=1)
    return photo


def give(photo: Photo, code: str, days: float) -> None:
    photo.submission.shot_codes.create(code=code, issued_at=photo.added_at - timedelta(days=days))


def see(photo: Photo, by=None, code: str = "k7d-xw4") -> CodeSeen:
    return actions.see_code(photo=photo, by=by or ReviewerFactory(), at=now(), code=code)


def words(photo: Photo) -> str:
    return code_words(with_codes_seen(Photo.objects.filter(pk=photo.pk)).get())


def test_a_report_has_a_code_from_the_start_and_another_after_fourteen_days(scene):
    draft = scene.draft()
    first = ShotCode.objects.get(submission=draft)
    ask = {"submission": draft, "by": scene.author}
    assert actions.give_code(at=first.good_until, **ask) == first
    second = actions.give_code(at=first.good_until + timedelta(seconds=1), **ask)
    assert second.code != first.code
    assert list(draft.shot_codes.order_by("pk")) == [first, second]
    entry = JournalEntry.objects.get(verb="submission.code_given")
    assert (entry.about_id, entry.detail) == (draft.public_id, {})
    actions.withdraw_draft(submission=draft, by=scene.author, at=now())
    with pytest.raises(AlreadyClosed):
        actions.give_code(at=now(), **ask)
    with pytest.raises(NotFound):
        actions.give_code(submission=scene.draft(), by=MemberFactory(), at=now())


def test_each_reviewer_sees_it_once_and_it_is_told_in_words(scene, photo):
    assert words(photo) == ""
    first = see(photo, scene.reviewers[0])
    assert see(photo, scene.reviewers[0], "K7D XW4") == first
    assert words(photo) == "1 reviewer saw this report’s code in the picture."
    see(photo, scene.reviewers[1])
    see(photo, scene.moderator)
    assert words(photo) == "3 reviewers saw this report’s code in the picture."
    assert JournalEntry.objects.filter(verb="photo.code_seen").count() == 3
    assert "K7DXW4" not in str(list(JournalEntry.objects.values_list("detail", flat=True)))


def test_T11_the_code_of_another_report_or_an_old_one_is_refused(scene, photo):
    other = scene.photo(scene.example())
    give(other, "MNPRTV", days=1)
    give(photo, "HJK346", days=14.01)
    give(photo, "WXY777", days=-0.5)
    for code, says in {
        "MNPRTV": "not a code of this report",
        "HJK-346": "more than 14 days old",
        "WXY-777": "does not count",
        "K7DXW": "as it stands on the paper",
        "": "as it stands on the paper",
    }.items():
        with pytest.raises(InvalidField, match=says) as refused:
            see(photo, code=code)
        assert refused.value.field == "code"
    assert not CodeSeen.objects.exists()


def test_a_picture_sent_while_the_code_was_good_may_show_it_ever_after(photo):
    give(photo, "HJK346", days=13.9)
    assert see(photo, code="hjk346").photo == photo


def test_only_reviewers_say_so_and_not_of_their_own_pictures(scene, photo):
    with pytest.raises(RoleRequired):
        see(photo, MemberFactory())
    own = scene.photo(scene.example(owner=scene.reviewers[0]))
    give(own, "K7DXW4", days=1)
    with pytest.raises(OwnSubmission):
        see(own, scene.reviewers[0])
    actions.declare_link(first=own.owner, second=scene.reviewers[1], by=scene.moderator, at=now())
    with pytest.raises(ConflictDeclared):
        see(own, scene.reviewers[1])
    assert see(own, scene.reviewers[2]).photo == own
    draft = PhotoFactory()
    give(draft, "K7DXW4", days=1)
    with pytest.raises(NotFound):
        see(draft)
    Photo.objects.filter(pk=photo.pk).update(taken_down_at=NOON)
    with pytest.raises(AlreadyClosed):
        see(photo)


def test_nobody_is_asked_for_a_code_in_a_shop():
    photo = PhotoFactory(submission=None, sighting=SightingFactory(), owner=MemberFactory())
    with pytest.raises(InvalidField, match="Only photographs of reports"):
        see(photo)


def test_it_changes_no_standing(scene):
    variant = scene.report(scene.anchor)
    photo = scene.photo(scene.example(), submission__variant=variant)
    give(photo, "K7DXW4", days=1)
    before = (variant.standing, claim_on(variant, scene.crest).standing)
    for reviewer in scene.reviewers:
        see(photo, reviewer)
    actions.settle_release(release=scene.release, at=now())
    variant.refresh_from_db()
    assert (variant.standing, claim_on(variant, scene.crest).standing) == before


def test_T11_an_owner_says_that_a_picture_was_edited(scene):
    photo = scene.photo(scene.example(owner=scene.author))
    actions.describe_photo(photo=photo, by=scene.author, at=now(), is_edited=True)
    photo.refresh_from_db()
    assert photo.is_edited
    assert JournalEntry.objects.get(verb="photo.described").detail["edited"] is True
    actions.describe_photo(photo=photo, by=scene.author, at=now(), caption="The roof")
    photo.refresh_from_db()
    assert photo.is_edited, "what is not named stays"
