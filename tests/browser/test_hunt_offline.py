"""The hunt in airplane mode: the sheet opens, a note with a photograph is kept, and it is sent once."""

from threading import Event

import pytest

from registry import actions
from registry.models import KeptReply, Photo, Sighting, Variant
from registry.web.views import hunt as views
from tests.browser.conftest import PHONE
from tests.factories import AssortmentItemFactory, MemberFactory, PackContentFactory
from tests.path import Scene, now
from tests.pictures import jpeg
from tests.shelf import Shelf

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
GTIN = "06291041500213"
CAMERA = """
  window.BarcodeDetector = class {
    static async getSupportedFormats() { return ["ean_13"]; }
    async detect() { return [{rawValue: "6291041500213"}]; }
  };
  navigator.mediaDevices.getUserMedia = async () => document.createElement("canvas").captureStream();
"""


@pytest.fixture
def shelf():
    shelf = Shelf()
    AssortmentItemFactory(release=shelf.release)
    PackContentFactory(release=shelf.release, pack__gtin=GTIN)
    return shelf


def publish():
    scene = Scene()
    scene.baseline()
    actions.publish_edition(by=scene.moderator, at=now())


def note(page, n, photo=None):
    page.get_by_role("link", name="Note what I see").click()
    page.get_by_label("Blue crest", exact=True).fill(str(n))
    if photo:
        page.get_by_label("A photograph").set_input_files(
            [{"name": "peg.jpg", "mimeType": "image/jpeg", "buffer": photo}]
        )
    page.get_by_role("button", name="Keep the note").click()


def test_a_note_taken_in_airplane_mode_is_sent_once_with_its_photograph(open_page, shelf):
    member = MemberFactory()
    page = open_page("/hunt/sheet", size=PHONE, member=member)
    page.get_by_text("Kept on this device").wait_for()
    page.context.set_offline(True)
    page.reload()
    page.locator("#hunt[data-ready=yes]").wait_for()
    assert page.get_by_text("Roof crest: blue").is_visible()
    page.get_by_role("link", name="Note what I see").click()
    page.get_by_role("button", name="Keep the note").click()
    assert "Say how many you saw" in page.get_by_role("alert").inner_text()
    page.get_by_role("button", name="Close").click()
    note(page, 3, jpeg(200, 120))
    note(page, 1)
    page.get_by_text("2 notes wait on this device").wait_for()
    page.get_by_role("button", name="Take it back").last.click()
    page.get_by_text("1 note waits on this device").wait_for()
    page.reload()
    page.get_by_text("1 note waits on this device").wait_for()
    page.get_by_label("Bar code").fill("6291041500213")
    page.get_by_role("button", name="Look it up").click()
    assert page.locator("#behind").inner_text() == f"One of these: {shelf.release}"
    assert not Sighting.objects.exists()

    lost = []  # the answer to the sighting is lost on its way back, as in a shop with one bar of network

    def lose(route):
        if lost:
            route.continue_()
            return
        lost.append(route.fetch().status)
        route.abort()

    page.context.route("**/v1/sightings", lose)
    page.context.set_offline(False)
    page.get_by_text("Nothing is lost").wait_for()
    page.get_by_role("button", name="Send them now").click()
    page.get_by_text("1 note was sent").wait_for()
    assert lost == [201]
    sighting = Sighting.objects.get()
    assert (sighting.by, sighting.release, sighting.scope) == (member, shelf.release, "peg")
    line = sighting.count_lines.get()
    assert (line.n, list(line.variants.all())) == (3, [shelf.variants["Blue crest"]])
    assert Photo.objects.get().sighting == sighting
    assert KeptReply.objects.count() == 2
    page.reload()
    page.get_by_text("Kept on this device").wait_for()
    assert page.locator("#outbox").is_hidden()
    assert (Sighting.objects.count(), Photo.objects.count()) == (1, 1)


def test_with_one_bar_of_network_or_a_site_that_is_down_the_kept_sheet_opens(open_page, shelf, monkeypatch):
    page = open_page("/hunt/sheet", size=PHONE, member=MemberFactory())
    page.get_by_text("Kept on this device").wait_for()
    waited, given_up = [], Event()

    def never(*args, **limits):
        waited.append(1)
        given_up.wait(60)
        raise RuntimeError("The site is down.")

    monkeypatch.setattr("registry.web.views.hunt.what_is_missing", never)
    page.reload(timeout=20_000)
    page.locator("#hunt[data-ready=yes]").wait_for()
    assert page.get_by_text("Roof crest: blue").is_visible()
    assert waited
    given_up.set()
    page.reload(timeout=20_000)
    page.locator("#hunt[data-ready=yes]").wait_for()
    assert page.get_by_text("Roof crest: blue").is_visible()


def test_notes_are_sent_in_nobody_elses_name_and_the_sheet_goes_with_who_signs_out(open_page, shelf):
    first, second = MemberFactory(), MemberFactory()
    page = open_page("/hunt/sheet", size=PHONE, member=first)
    page.get_by_text("Kept on this device").wait_for()
    page.context.set_offline(True)
    note(page, 2)
    page.get_by_text("1 note waits").wait_for()
    from tests.browser.conftest import session_of

    site = "/".join(page.url.split("/")[:3])
    page.context.add_cookies([session_of(second, site)])
    page.context.set_offline(False)
    page.get_by_role("link", name="Sign in again").wait_for()
    page.goto(f"{site}/hunt/sheet")
    page.get_by_text("Kept on this device").wait_for()
    assert page.locator("#outbox").is_hidden()
    assert not Sighting.objects.exists()
    page.goto(f"{site}/accounts/logout/")
    page.locator("main").get_by_role("button", name="Sign out").click()
    page.wait_for_url(lambda url: "logout" not in url)
    assert page.evaluate("caches.has('hunt')") is False
    page.context.add_cookies([session_of(first, site)])
    page.goto(f"{site}/hunt/sheet")
    page.get_by_text("1 note was sent").wait_for()
    assert Sighting.objects.get().by == first


def test_a_sheet_kept_on_the_device_is_told_of_a_newer_list_and_kept_anew(open_page, shelf):
    page = open_page("/hunt/sheet", size=PHONE, member=MemberFactory())
    page.get_by_text("Kept on this device").wait_for()
    page.context.set_offline(True)
    page.reload()
    page.locator("#hunt[data-ready=yes]").wait_for()
    assert page.get_by_text("After List no. 1").count() == 0
    publish()
    page.context.set_offline(False)
    page.get_by_text("List no. 1 is out, and this sheet is older.").wait_for()
    page.get_by_role("link", name="Show the new one").click()
    page.get_by_text("After List no. 1").wait_for()
    page.get_by_text("Kept on this device").wait_for()
    page.context.set_offline(True)
    page.reload()
    page.get_by_text("After List no. 1").wait_for()


def hanging(monkeypatch, name):
    """From now on the site does not answer where the hunt's views call `name`, until the second event is set."""
    asked, answered, known = Event(), Event(), getattr(views, name)

    def late(*args, **limits):
        asked.set()
        answered.wait(60)
        return known(*args, **limits)

    monkeypatch.setattr(views, name, late)
    return asked, answered


def test_what_comes_after_somebody_signed_out_is_not_kept(open_page, shelf, monkeypatch):
    page = open_page("/hunt/sheet", size=PHONE, member=MemberFactory())
    page.get_by_text("Kept on this device").wait_for()
    asked, answered = hanging(monkeypatch, "what_is_missing")
    page.evaluate(
        "window.late = fetch('/hunt/sheet.json', {headers: {Anew: 'yes'}}).then(({ok}) => ok); null"
    )
    assert asked.wait(10)
    assert page.evaluate("caches.delete('hunt')") is True  # as forget.js does
    answered.set()
    assert page.evaluate("window.late") is True
    assert page.evaluate("caches.has('hunt')") is False


def test_older_notes_beside_a_newer_sheet_are_no_news(open_page, shelf, monkeypatch):
    page = open_page("/hunt/sheet", size=PHONE, member=MemberFactory())
    page.get_by_text("Kept on this device").wait_for()
    publish()
    asked, answered = hanging(monkeypatch, "last_place")  # of the data alone: what was kept of it is used
    page.reload()
    page.get_by_text("After List no. 1").wait_for()
    page.get_by_text("Kept on this device").wait_for()
    assert asked.is_set()
    assert page.locator("#fresh").is_hidden()
    answered.set()


def test_soon_after_a_slow_answer_a_newer_list_is_told_of_and_shown_all_the_same(
    open_page, shelf, monkeypatch
):
    page = open_page("/hunt/sheet", size=PHONE, member=MemberFactory())
    page.get_by_text("Kept on this device").wait_for()
    _, answered = hanging(monkeypatch, "what_is_missing")
    page.reload(timeout=20_000)
    page.get_by_text("Kept on this device").wait_for()
    answered.set()
    page.wait_for_load_state("networkidle")
    publish()
    page.evaluate("window.dispatchEvent(new Event('online'))")
    page.get_by_text("List no. 1 is out, and this sheet is older.").wait_for()
    page.get_by_role("link", name="Show the new one").click()
    page.get_by_text("After List no. 1").wait_for()


def test_a_bar_code_is_scanned_where_the_browser_can(open_page, shelf):
    page = open_page("/hunt/code", size=PHONE, member=MemberFactory())
    page.add_init_script(CAMERA)
    page.reload()
    page.get_by_role("button", name="Scan with the camera").click()
    page.get_by_role("heading", name="It is one of these").wait_for()
    assert "code=6291041500213" in page.url
    assert page.get_by_role("link", name=str(shelf.release)).is_visible()


def test_a_refused_note_says_why_and_stays_until_it_is_dropped(open_page, shelf):
    page = open_page("/hunt/sheet", size=PHONE, member=MemberFactory())
    page.get_by_text("Kept on this device").wait_for()
    page.get_by_role("link", name="Note what I see").click()
    page.get_by_label("Blue crest", exact=True).fill("1")
    page.get_by_text("More: photograph").click()
    page.get_by_label("Wide region").fill("12 Quay Street")
    page.get_by_role("button", name="Keep the note").click()
    page.get_by_text("Not taken:").wait_for()
    assert "region" in page.locator("#outbox li").inner_text()
    page.get_by_role("button", name="Drop it").click()
    page.locator("#outbox li").wait_for(state="detached")
    assert not Sighting.objects.exists()


def test_a_refused_note_is_opened_again_with_all_that_was_said_and_sent_once(open_page, shelf):
    page = open_page("/hunt/sheet", size=PHONE, member=MemberFactory())
    page.get_by_text("Kept on this device").wait_for()
    page.get_by_role("link", name="Note what I see").click()
    page.get_by_label("Blue crest", exact=True).fill("2")
    page.get_by_text("More: photograph").click()
    page.get_by_label("Wide region").fill("12 Quay Street")
    page.get_by_label("Note", exact=True).fill("behind the boats")
    page.get_by_label("A photograph").set_input_files(
        [{"name": "peg.jpg", "mimeType": "image/jpeg", "buffer": jpeg(200, 120)}]
    )
    page.get_by_role("button", name="Keep the note").click()
    page.get_by_text("Not taken:").wait_for()
    page.get_by_role("button", name="Change it").click()
    assert page.get_by_label("Blue crest", exact=True).input_value() == "2"
    assert page.get_by_label("Note", exact=True).input_value() == "behind the boats"
    page.get_by_label("Wide region").fill("Quay Land")
    page.get_by_role("button", name="Keep the note").click()
    page.get_by_text("1 note was sent").wait_for()
    assert page.locator("#outbox li").count() == 0
    sighting = Sighting.objects.get()
    assert (sighting.region, sighting.note, sighting.count_lines.get().n) == (
        "Quay Land",
        "behind the boats",
        2,
    )
    assert Photo.objects.get().sighting == sighting


def test_whoever_signs_in_finds_no_sheet_of_who_was_here_before(open_page, shelf):
    page = open_page("/hunt/sheet", size=PHONE, member=MemberFactory())
    page.get_by_text("Kept on this device").wait_for()
    second = MemberFactory()
    second.set_password("a-quay-at-low-tide")
    second.save()
    page.context.clear_cookies(name="sessionid")
    page.goto(page.url.replace("/hunt/sheet", "/accounts/login/"))
    assert page.evaluate("caches.has('hunt')") is True
    page.get_by_label("E-mail address").fill(second.email)
    page.get_by_label("Password").fill("a-quay-at-low-tide")
    page.locator("main").get_by_role("button", name="Sign in").click()
    page.wait_for_url(lambda url: "/accounts/login" not in url)
    assert page.evaluate("caches.has('hunt')") is False


def test_a_refused_full_count_of_what_is_no_longer_on_the_sheet_is_not_called_full_again(open_page, shelf):
    page = open_page("/hunt/sheet", size=PHONE, member=MemberFactory())
    page.get_by_text("Kept on this device").wait_for()
    page.get_by_role("link", name="Note what I see").click()
    page.get_by_label("First", exact=True).fill("1")
    page.get_by_label("Blue crest", exact=True).fill("2")
    page.get_by_label("I counted everything there").check()
    page.get_by_text("More: photograph").click()
    page.get_by_label("Wide region").fill("12 Quay Street")
    page.get_by_role("button", name="Keep the note").click()
    page.get_by_text("Not taken:").wait_for()
    page.get_by_role("button", name="Change it").click()
    assert page.get_by_label("I counted everything there").is_checked()
    assert page.get_by_role("alert").is_hidden()
    page.get_by_role("button", name="Close").click()
    Variant.objects.filter(pk=shelf.variants["Blue crest"].pk).update(standing="struck")
    page.reload()
    page.get_by_role("button", name="Change it").click()
    assert "is no longer on this sheet" in page.get_by_role("alert").inner_text()
    assert not page.get_by_label("I counted everything there").is_checked()
    assert page.get_by_label("First", exact=True).input_value() == "1"


def test_whoever_makes_an_account_finds_no_sheet_of_who_was_here_before(open_page, shelf):
    page = open_page("/hunt/sheet", size=PHONE, member=MemberFactory())
    page.get_by_text("Kept on this device").wait_for()
    page.context.clear_cookies(name="sessionid")
    page.goto(page.url.replace("/hunt/sheet", "/accounts/signup/"))
    for name, value in [
        ("email", "tern@quay.example"),
        ("display_name", "Tern"),
        ("password1", "a-quay-at-low-tide"),
    ]:
        page.locator(f"main [name={name}]").fill(value)
    assert page.evaluate("caches.has('hunt')") is True
    page.get_by_role("button", name="Make the account").click()
    page.wait_for_url(lambda url: "/accounts/signup" not in url)
    assert page.evaluate("caches.has('hunt')") is False


def test_who_reads_german_hears_first_in_german_why_a_note_was_refused(open_page, shelf):
    page = open_page("/hunt/sheet", size=PHONE, member=MemberFactory(), locale="de-DE")
    page.get_by_text("Auf diesem Gerät behalten").wait_for()
    page.get_by_role("link", name="Notieren, was ich sehe").click()
    page.get_by_label("Blue crest", exact=True).fill("1")
    page.get_by_text("Mehr: Foto").click()
    page.get_by_label("Größere Gegend").fill("12 Quay Street")
    page.get_by_role("button", name="Notiz speichern").click()
    page.get_by_text("Nicht angenommen: Etwas daran stimmt nicht. (").wait_for()
    assert "region" in page.locator("#outbox li").inner_text()
