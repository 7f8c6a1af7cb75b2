"""Following: what happens is told once, to who asked, from the moment they asked."""

from datetime import date

import pytest
from django.core import mail

from registry import actions
from registry.errors import InvalidField, WrongMoment
from registry.models import FeedEvent, Watch
from registry.queries import watching
from tests.factories import (
    AssortmentItemFactory,
    CastingFactory,
    FeedEventFactory,
    MemberFactory,
    PackContentFactory,
    WatchFactory,
)
from tests.path import Scene, now

from .watching import refused

pytestmark = pytest.mark.django_db


def told() -> list[tuple[str, object, object]]:
    return [(event.kind, event.release, event.variant) for event in FeedEvent.objects.all()]


def follow(**said):
    return actions.follow(by=said.pop("by", None) or MemberFactory(), at=now(), **said)


def titles(news) -> list[str]:
    return [event.variant.title for event in news.events] if news else []


def test_a_variant_is_spotted_when_it_is_sent_and_verified_when_it_is():
    scene = Scene()
    base = scene.baseline()
    assert told() == [("spotted", scene.release, base), ("verified", scene.release, base)]


def test_a_dispute_with_a_photo_tells_that_the_variant_is_contested():
    scene = Scene()
    base = scene.baseline()
    claim = base.claims.get(trait=scene.crest)
    dispute = actions.open_dispute(
        claim=claim, state=scene.gull, by=MemberFactory(), reason="A gull.", at=now()
    )
    scene.photo(scene.example(), dispute=dispute)
    actions.settle_release(release=scene.release, at=now())
    assert told()[-1] == ("contested", scene.release, base)


def test_a_cause_after_sale_tells_that_the_variant_is_set_apart():
    scene = Scene()
    swapped = scene.change(scene.baseline(), scene.gull, cause="altered")
    assert told()[-1] == ("set_apart", scene.release, swapped)


def test_settling_again_tells_nothing():
    scene = Scene()
    scene.baseline()
    before = told()
    actions.settle_release(release=scene.release, at=now())
    assert told() == before


def test_a_pack_pulled_from_sale_is_told_for_each_release_in_it():
    scene = Scene()
    pack = PackContentFactory(release=scene.release).pack
    other = PackContentFactory(pack=pack, release__line=scene.release.line).release
    said = {"region": "Ostmark", "on": date(2026, 5, 1), "source": "Shop notice"}
    actions.add_availability(by=scene.moderator, at=now(), pack=pack, kind="on_sale", **said)
    assert told() == []
    actions.add_availability(by=scene.moderator, at=now(), pack=pack, kind="pulled", **said)
    assert told() == [("pulled", scene.release, None), ("pulled", other, None)]


def test_one_hears_of_what_happens_after_one_began_to_follow():
    old = FeedEventFactory()
    watch = follow(line=old.line)
    assert watching.news([watch]) is None
    new = FeedEventFactory(variant__release=old.release)
    assert watching.news([watch]).events == [new]


def test_casting_assortment_and_line_each_tell_of_their_own_and_an_event_of_several_is_told_once():
    event = FeedEventFactory()
    FeedEventFactory()
    item = AssortmentItemFactory(release=event.release)
    watches = [
        WatchFactory(line=None, casting=event.release.casting),
        WatchFactory(line=None, assortment=item.assortment),
        WatchFactory(line=event.line),
    ]
    assert [watching.news([watch]).events for watch in watches] == [[event]] * 3
    assert watching.news(watches).events == [event]
    for watch in watches:
        assert watching.events_of(watch.kind, watch.subject.pk) == [event]


def test_news_seen_are_news_no_more():
    watch = WatchFactory()
    event = FeedEventFactory(line=watch.line)
    actions.mark_news_seen(by=watch.member, at=now(), up_to=event.pk)
    watch.refresh_from_db()
    assert watching.news([watch]) is None


def test_marking_what_has_not_happened_as_seen_hides_nothing_to_come():
    watch = WatchFactory()
    actions.mark_news_seen(by=watch.member, at=now(), up_to=10**15)
    event = FeedEventFactory(line=watch.line)
    watch.refresh_from_db()
    assert watching.news([watch]).events == [event]


def test_following_twice_is_following_once():
    member, casting = MemberFactory(), CastingFactory()
    assert follow(by=member, casting=casting) == follow(by=member, casting=casting)
    assert Watch.objects.count() == 1


@pytest.mark.parametrize("things", [(), ("casting", "line")])
def test_following_nothing_or_two_things_at_once_is_refused(things):
    event, member = FeedEventFactory(), MemberFactory()
    have = {"casting": event.release.casting, "line": event.line}
    with refused(InvalidField, field="casting"):
        follow(by=member, **{name: have[name] for name in things})


def test_two_hundred_watches_are_enough():
    member, casting = MemberFactory(), CastingFactory()
    WatchFactory.create_batch(200, member=member)
    with refused(WrongMoment, says=["200"]):
        follow(by=member, casting=casting)


def test_a_message_tells_all_since_the_last_one_and_nothing_twice(django_capture_on_commit_callbacks):
    watch = WatchFactory(by_mail=True)
    FeedEventFactory(line=watch.line, variant__title="Gull on the roof")
    FeedEventFactory(variant__title="Elsewhere")
    with django_capture_on_commit_callbacks(execute=True):
        assert actions.mail_news(member=watch.member, at=now()) is not None
    with django_capture_on_commit_callbacks(execute=True):
        assert actions.mail_news(member=watch.member, at=now()) is None
    [message] = mail.outbox
    assert message.to == [watch.member.email]
    assert "“Gull on the roof” of" in message.body
    assert "Elsewhere" not in message.body
    assert "&" not in message.body


def test_no_message_goes_to_who_did_not_ask_or_may_not_sign_in():
    quiet = WatchFactory()
    closed = WatchFactory(by_mail=True, line=quiet.line, member__is_active=False)
    FeedEventFactory(line=quiet.line)
    assert list(watching.members_to_mail()) == []
    assert actions.mail_news(member=quiet.member, at=now()) is None
    assert actions.mail_news(member=closed.member, at=now()) is None


def test_messages_asked_for_later_tell_of_what_happens_later():
    watch = WatchFactory()
    FeedEventFactory(line=watch.line)
    watch = actions.tell_by_mail(watch=watch, by=watch.member, at=now(), by_mail=True)
    assert actions.mail_news(member=watch.member, at=now()) is None


def test_a_merged_casting_is_followed_in_the_one_that_stands_for_it():
    scene = Scene()
    twin = CastingFactory(maker=scene.release.casting.maker)
    both, one = MemberFactory(), MemberFactory()
    for member, casting in ((both, twin), (both, scene.release.casting), (one, twin)):
        follow(by=member, casting=casting)
    actions.merge(thing=twin, into=scene.release.casting, by=scene.moderator, at=now())
    followed = Watch.objects.values_list("member", "casting").order_by("member")
    assert list(followed) == [(both.pk, scene.release.casting_id), (one.pk, scene.release.casting_id)]


def test_many_events_are_told_in_part_and_said_to_be_so():
    watch = WatchFactory()
    FeedEventFactory.create_batch(101, line=watch.line)
    news = watching.news([watch])
    assert len(news.events) == 100
    assert news.more
    assert news.up_to == FeedEvent.objects.last().pk
