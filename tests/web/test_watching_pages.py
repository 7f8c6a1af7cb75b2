"""Following on the site, by e-mail and by feed."""

import xml.etree.ElementTree as ET

import pytest
from django.core import mail
from django.core.management import call_command

from registry.models import Watch
from tests.factories import FeedEventFactory, MemberFactory, WatchFactory

pytestmark = pytest.mark.django_db
ATOM = {"a": "http://www.w3.org/2005/Atom"}  # RFC 4287, section 1.2


def test_one_follows_a_casting_from_its_page_and_finds_what_is_new(as_member):
    event, member = FeedEventFactory(), MemberFactory()
    browser = as_member(member)
    casting = event.release.casting
    assert "Follow this casting" in browser.get(f"/castings/{casting.public_id}").text
    answer = browser.post(f"/follow/casting/{casting.public_id}", follow=True)
    assert "You follow this casting" in answer.text
    newer = FeedEventFactory(variant__release=event.release, variant__title="Gold wheels")
    page = browser.get("/watching")
    assert "Gold wheels" in page.text
    assert event.variant.title not in page.text
    browser.post("/watching/seen", {"up_to": newer.pk})
    assert "Gold wheels" not in browser.get("/watching").text


def test_a_reader_without_an_account_is_led_to_sign_in(as_member):
    line = FeedEventFactory().line
    page = as_member().get(f"/lines/{line.public_id}")
    assert f"/accounts/login/?next=/lines/{line.public_id}" in page.text
    assert as_member().post(f"/follow/line/{line.public_id}").status_code == 302


@pytest.mark.parametrize("deed", ["leave", "mail"])
def test_T26_what_another_follows_is_not_there(as_member, deed):
    watch = WatchFactory()
    invented = watch.public_id[:-1]
    browser = as_member(MemberFactory())
    assert browser.post(f"/watching/{watch.public_id}/{deed}").status_code == 404
    assert browser.post(f"/watching/{invented}/{deed}").status_code == 404
    assert Watch.objects.count() == 1


def test_leaving_and_messages_are_one_button_each(as_member):
    watch = WatchFactory()
    browser = as_member(watch.member)
    browser.post(f"/watching/{watch.public_id}/mail", {"by_mail": "yes"})
    assert Watch.objects.get().by_mail
    browser.post(f"/watching/{watch.public_id}/leave")
    assert not Watch.objects.exists()


@pytest.mark.parametrize("kind", ["trait", "variant", "x"])
def test_what_cannot_be_followed_is_not_there(as_member, kind):
    line = FeedEventFactory().line
    browser = as_member(MemberFactory())
    assert browser.post(f"/follow/{kind}/{line.public_id}").status_code == 404
    assert browser.get(f"/feeds/{kind}/{line.public_id}.atom").status_code == 404


def test_a_feed_holds_what_RFC_4287_asks_for(as_member, settings):
    event = FeedEventFactory(variant__title="Roof <gull> & anchor")
    FeedEventFactory()
    settings.SITE_URL = "https://list.example.org"
    answer = as_member().get(f"/feeds/casting/{event.release.casting.public_id}.atom")
    assert answer.headers["Content-Type"] == "application/atom+xml; charset=utf-8"
    feed = ET.fromstring(answer.text)  # noqa: S314  (our own)
    [entry] = feed.findall("a:entry", ATOM)
    # Sections 4.1.1 and 4.1.2: a feed and each entry have exactly one id, title and updated.
    for part in (feed, entry):
        for name in ("id", "title", "updated"):
            assert len(part.findall(f"a:{name}", ATOM)) == 1, name
    assert entry.findtext("a:id", namespaces=ATOM) == f"tag:list.example.org,2026:events/{event.pk}"
    assert "“Roof <gull> & anchor” of" in entry.findtext("a:title", namespaces=ATOM)
    link = entry.find("a:link", ATOM).get("href")
    assert link == f"https://list.example.org/variants/{event.variant.public_id}"


def test_an_unchanged_feed_costs_its_reader_nothing(as_member):
    FeedEventFactory()
    first = as_member().get("/feeds/changes.atom")
    again = as_member().get("/feeds/changes.atom", headers={"If-None-Match": first.headers["ETag"]})
    assert (first.status_code, again.status_code, again.content) == (200, 304, b"")
    FeedEventFactory()
    later = as_member().get("/feeds/changes.atom", headers={"If-None-Match": first.headers["ETag"]})
    assert later.status_code == 200


@pytest.mark.parametrize("rows", [1, 12])
def test_a_feed_costs_few_queries_however_long(as_member, django_assert_num_queries, rows):
    line = FeedEventFactory().line
    FeedEventFactory.create_batch(rows, line=line)
    with django_assert_num_queries(2):
        as_member().get(f"/feeds/line/{line.public_id}.atom")


def test_the_daily_command_writes_to_each_who_asked(django_capture_on_commit_callbacks, capsys):
    watch = WatchFactory(by_mail=True)
    WatchFactory(line=watch.line, by_mail=True)
    FeedEventFactory(line=watch.line)
    with django_capture_on_commit_callbacks(execute=True):
        call_command("mail_news")
    assert len(mail.outbox) == 2
    assert capsys.readouterr().out == "2 sent\n"
