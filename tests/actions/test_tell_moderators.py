"""A member tells the moderators what votes and disputes are not for, once at a time, in words that erasure forgets."""

import pytest

from registry import actions
from registry.errors import InvalidField, SecondPersonNeeded, TooMany, WrongMoment
from registry.models import Concern
from registry.queries.moderation import concern_page
from tests.factories import MemberFactory, ModeratorFactory, PhotoFactory, SubmissionFactory, VariantFactory
from tests.path import Scene, now

from .watching import refused

pytestmark = pytest.mark.django_db


def test_what_is_told_waits_on_the_desk_until_it_is_closed_and_may_then_be_told_again():
    photo, member, scene = PhotoFactory(), MemberFactory(), Scene()
    concern = actions.tell_moderators(about=photo, by=member, at=now(), reason="It shows a door.")
    told = concern_page(concern).told
    assert (told.about, told.by, told.words) == (photo, member, "It shows a door.")
    assert list(concern.members.all()) == [photo.owner]
    with refused(WrongMoment, says=["not closed it yet"]):
        actions.tell_moderators(about=photo, by=member, at=now(), reason="Still there.")
    actions.tell_moderators(about=photo, by=MemberFactory(), at=now(), reason="A door.")
    actions.close_concern(concern=concern, outcome="acted_on", reason="Down.", by=scene.moderator, at=now())
    actions.tell_moderators(about=photo, by=member, at=now(), reason="And its twin.")
    assert Concern.objects.open().count() == 2


def test_of_an_opened_draft_its_author_is_named_to_moderators():
    draft = SubmissionFactory(opened_at=now(), question="Whose door is that?")
    told = concern_page(
        concern := actions.tell_moderators(about=draft, by=MemberFactory(), at=now(), reason="A door.")
    ).told
    assert (told.about, list(concern.members.all())) == (draft, [draft.author])


def test_nobody_closes_what_was_told_about_themselves_while_another_moderator_is_there():
    alone = ModeratorFactory()
    concern = actions.tell_moderators(
        about=PhotoFactory(owner=alone), by=MemberFactory(), at=now(), reason="A door."
    )
    said = {"concern": concern, "by": alone, "at": now(), "reason": "Nothing there."}
    with refused(InvalidField, field="outcome"):
        actions.close_concern(outcome="linked", **said)
    other = ModeratorFactory()
    with refused(SecondPersonNeeded, says=["another moderator"]):
        actions.close_concern(outcome="unfounded", **said)
    assert actions.close_concern(outcome="unfounded", **said | {"by": other}).outcome == "unfounded"


def test_a_moderator_who_is_alone_closes_also_what_is_about_them():
    alone = ModeratorFactory()
    concern = actions.tell_moderators(
        about=PhotoFactory(owner=alone), by=MemberFactory(), at=now(), reason="A door."
    )
    done = actions.close_concern(
        concern=concern, outcome="acted_on", by=alone, at=now(), reason="Taken down."
    )
    assert done.outcome == "acted_on"


def test_it_needs_words_and_nobody_floods_the_desk(monkeypatch):
    monkeypatch.setattr("registry.actions.concerns.MOST_TOLD", 2)
    member, variant = MemberFactory(), VariantFactory()
    with refused(InvalidField, field="reason"):
        actions.tell_moderators(about=variant, by=member, at=now(), reason=" ")
    for _ in range(2):
        actions.tell_moderators(about=VariantFactory(), by=member, at=now(), reason="An insult.")
    with pytest.raises(TooMany):
        actions.tell_moderators(about=VariantFactory(), by=member, at=now(), reason="Another.")


def test_T50_the_words_go_with_who_said_them():
    member = MemberFactory()
    concern = actions.tell_moderators(about=VariantFactory(), by=member, at=now(), reason="My uncle’s name.")
    actions.erase_member(by=member, at=now())
    assert concern_page(concern).told.words == ""
    assert "uncle" not in str(Concern.objects.values())
