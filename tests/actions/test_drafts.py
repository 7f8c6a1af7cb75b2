"""Drafts are their author's alone, may be unfinished, and hold nothing that could not be kept or read again."""

import pytest
from django.utils import translation

from registry import actions
from registry.errors import AlreadyClosed, Conflict, InvalidField, NotFound
from registry.models import Submission
from registry.sentences import said
from tests.factories import MemberFactory, ReleaseFactory, VariantFactory
from tests.path import Scene, now

from .watching import refused

pytestmark = pytest.mark.django_db


def start(by=None, **said):
    return actions.start_draft(by=by or MemberFactory(), at=now(), **said)


def nested(levels: int) -> list:
    inside: list = []
    for _ in range(levels):
        inside = [inside]
    return inside


def test_a_draft_on_a_known_variant_takes_its_release_and_casting():
    variant = VariantFactory()
    draft = start(variant=variant)
    assert (draft.release, draft.casting) == (variant.release, variant.release.casting)


def test_what_an_edit_does_not_name_stays():
    draft = start(release=ReleaseFactory(), content={"title": "Gull"})
    actions.edit_draft(submission=draft, by=draft.author, at=now(), content={"title": "Gull crest"})
    draft.refresh_from_db()
    assert draft.release is not None
    assert (draft.content, draft.revision) == ({"title": "Gull crest"}, 2)


def test_T42_an_edit_of_an_old_copy_is_a_conflict_and_leaves_no_word():
    draft = start(content={"title": "first"})
    actions.edit_draft(
        submission=draft, by=draft.author, at=now(), expected_revision=1, content={"title": "second"}
    )
    with refused(Conflict) as caught:
        actions.edit_draft(
            submission=draft, by=draft.author, at=now(), expected_revision=1, content={"title": "lost"}
        )
    assert caught.value.code == "etag-stale"
    draft.refresh_from_db()
    assert draft.content == {"title": "second"}


@pytest.mark.parametrize(
    ("action", "said"), [("edit_draft", {"content": {}}), ("withdraw_draft", {}), ("send_submission", {})]
)
def test_what_was_sent_or_withdrawn_is_edited_no_more(action, said):
    draft = start()
    actions.withdraw_draft(submission=draft, by=draft.author, at=now())
    with refused(AlreadyClosed, says=["withdrawn"]):
        getattr(actions, action)(submission=draft, by=draft.author, at=now(), **said)


def test_a_refusal_is_english_whoever_reads_and_on_a_page_wholly_in_their_language():
    draft = start()
    actions.withdraw_draft(submission=draft, by=draft.author, at=now())
    with translation.override("de"), pytest.raises(AlreadyClosed) as refusal:
        actions.edit_draft(submission=draft, by=draft.author, at=now(), content={})
    assert str(refusal.value) == "This report is withdrawn and can no longer be edited."
    with translation.override("de"):
        assert "withdrawn" not in said(refusal.value)
        assert "zurückgezogen" in said(refusal.value)


def test_a_sent_report_is_edited_no_more():
    scene = Scene()
    scene.report(scene.anchor)
    sent = Submission.objects.get()
    with refused(AlreadyClosed, says=["sent"]):
        actions.edit_draft(submission=sent, by=scene.author, at=now(), content={})


def test_T26_a_moderator_finds_no_foreign_draft_either():
    scene = Scene()
    draft = scene.draft()
    with refused(NotFound):
        actions.send_submission(submission=draft, by=scene.moderator, at=now())


@pytest.mark.parametrize("field", ["status", "author", "revision", "sent_at", "id", "public_id"])
def test_T25_a_field_that_is_not_the_authors_to_write_is_refused(field):
    draft = start()
    with refused(InvalidField, field=field, says=["cannot be written"]):
        actions.edit_draft(submission=draft, by=draft.author, at=now(), **{field: "sent"})


@pytest.mark.parametrize("field", ["standing", "weight", "owner", "verified"])
def test_T25_an_unknown_member_of_the_content_is_refused(field):
    by = MemberFactory()
    with refused(InvalidField, field=f"content.{field}", says=[field, "claims"]):
        start(by, content={field: "verified"})


@pytest.mark.parametrize("field", ["variant", "differs_from"])
def test_a_variant_of_another_release_is_refused(field):
    variant, release, by = VariantFactory(), ReleaseFactory(), MemberFactory()
    with refused(InvalidField, field=field, says=[variant.public_id, release.name]):
        start(by, release=release, **{field: variant})


@pytest.mark.parametrize("content", [["claims"], "x", 7])
def test_content_that_is_no_object_is_refused(content):
    by = MemberFactory()
    with refused(InvalidField, field="content", says=["object"]):
        start(by, content=content)


@pytest.mark.parametrize(
    ("content", "field", "says"),
    [
        ({"title": "a\x00b"}, "content.title", "U+0000 at place 2"),
        ({"note": "a\x1bb"}, "content.note", "U+001B"),
        ({"claims": [{"trait": "\ud800"}]}, "content.claims[0].trait", "U+D800"),
        ({"claims": [{"tr\x00ait": "x"}]}, "content.claims[0]", "U+0000"),
        ({"claims": [{7: "x"}]}, "content.claims[0]", "7"),
        ({"marks": [{"xywh": float("inf")}]}, "content.marks[0].xywh", "inf"),
        ({"marks": [{"xywh": float("nan")}]}, "content.marks[0].xywh", "nan"),
        ({"claims": {"a", "b"}}, "content.claims", "set"),
        ({"title": "x" * 200_001}, "content", "200,000"),
    ],
)
def test_what_no_database_could_keep_is_refused(content, field, says):
    by = MemberFactory()
    with refused(InvalidField, field=field, says=[says]):
        start(by, content=content)


def test_content_nested_10_000_deep_is_refused():
    by = MemberFactory()
    with refused(InvalidField, field="content.claims" + "[0]" * 8, says=["8 levels"]):
        start(by, content={"claims": nested(10_000)})


def test_line_breaks_and_words_of_any_script_are_kept():
    content = {"note": "two\nlines\tand 日本語, Ærø", "nicknames": ["Ørred"]}
    draft = start(content=content)
    draft.refresh_from_db()
    assert draft.content == content
