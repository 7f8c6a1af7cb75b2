"""What holds on every page: few queries and never more for more rows, sound markup, no address, no script but ours."""

import re
from html.parser import HTMLParser

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import get_resolver

from tests.browser.shots import addresses
from tests.web.everything import world

pytestmark = pytest.mark.django_db
MOST_QUERIES = 12
NO_PAGE = {
    "claim",
    "photo-file",
    "mark-crop",
    "begin-report",
    "draft-upload",
    "draft-discard",
    "begin-open-draft",
    "close-open-draft",
    "add-remark",
    "remove-remark",
    "report-from-open-draft",
    "draft-code",
    "withdraw-draft",
    "withdraw-vote",
    "dispute-vote",
    "dispute-photo",
    "withdraw-dispute",
    "close-dispute",
    "statement-vote",
    "statement-vote-withdraw",
    "statement-dispute",
    "statement-close",
    "photo-say",
    "photo-restore",
    "photo-chart",
    "publish-edition",
    "grant-role",
    "revoke-role",
    "make-token",
    "export-mine",
    "revoke-token",
    "end-session",
    "withdraw-sighting",
    "take-item-out",
    "release-held",
    "decide-deed",
    "end-interest",
    "mark-seen",
    "unfollow",
    "watch-by-mail",
    "follow",
    "order-svg",
    "order-csv",
    "scarcity-svg",
    "sheet-svg",
    "scarcity-csv",
    "timeline-svg",
    "timeline-csv",
    "feed",
    "feed-of",
    "pocket-data",
    "pocket-crop",
    "cabinet-csv",
    "hunt-data",
    "hunt-worker",
    "service-worker",
    "words",
}
VOID = {"area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "track", "wbr"}
LABELLED = {"input", "select", "textarea"}


def queries(as_member, pages) -> dict[str, int]:
    counted = {}
    for name, (path, member) in pages.items():
        browser = as_member(member)
        with CaptureQueriesContext(connection) as captured:
            answer = browser.get(path)
        assert answer.status_code == 200, (name, answer.status_code)
        counted[name] = len(captured)
    return counted


def test_no_page_costs_more_for_more_rows_and_none_costs_many(as_member, monkeypatch):
    # One question in twenty on the desk has a known answer; finding it costs a few queries more, by lot.
    monkeypatch.setattr("registry.methods.guards.is_control_turn", lambda given, lot: False)
    few = queries(as_member, world(rows=2).pages)
    many = queries(as_member, world(rows=20).pages)
    # What the desk offers may have no photograph: then nothing is asked about those it is like, nor of its colours.
    assert {few["review"], many["review"]} <= {9, 10, 11}
    many.pop("review")
    assert many == {name: n for name, n in few.items() if name != "review"}
    assert {name: n for name, n in few.items() if n > MOST_QUERIES} == {}


def test_every_page_of_the_site_is_looked_at_here():
    ours = {
        pattern.name
        for resolver in get_resolver().url_patterns
        for pattern in getattr(resolver, "url_patterns", [])
        if getattr(resolver, "urlconf_name", None) and "registry.web.urls" in str(resolver.urlconf_name)
    }
    assert ours
    beside = {
        "revision",
        "then",
        "count-sighting",
        "compare-sighting",
        "identify-line",
        "compare-choose",
        "account_login",
        "account_signup",
    }
    looked_at = set(world().pages) - beside
    assert ours - NO_PAGE == looked_at


class Markup(HTMLParser):
    """Collects what the checks below ask about."""

    def __init__(self) -> None:
        super().__init__()
        self.ids: list[str] = []
        self.headings: list[int] = []
        self.labels: set[str] = set()
        self.inputs: list[dict[str, str | None]] = []
        self.in_label = 0
        self.inline: list[str] = []
        self.pictures: list[dict[str, str | None]] = []
        self.webp: str | None = None
        self.forms: set[str] = set()
        self.buttons: list[dict[str, str | None]] = []
        self.within: list[tuple[str, bool]] = []

    def handle_starttag(self, tag, attributes):
        at = dict(attributes)
        hidden = "hidden" in at or any(hides for _, hides in self.within)
        if tag == "form" and at.get("id"):
            self.forms.add(at["id"])
        if tag == "button" and not hidden:
            self.buttons.append({**at, "in_form": "yes" if ("form", False) in self.within else None})
        if tag not in VOID:
            self.within.append((tag, "hidden" in at or tag == "template"))
        if at.get("id"):
            self.ids.append(at["id"])
        if re.fullmatch(r"h[1-6]", tag):
            self.headings.append(int(tag[1]))
        if tag == "label":
            self.in_label += 1
            self.labels.add(at.get("for") or "")
        if tag in LABELLED and at.get("type") not in ("hidden", "submit"):
            self.inputs.append({**at, "in_label": "yes" if self.in_label else None})
        self.inline += [name for name in at if name == "style" or name.startswith("on")]
        if tag in ("style", "script") and "src" not in at:
            self.inline.append(tag)
        if tag == "source" and at["type"] == "image/webp":
            self.webp = at["srcset"]
        if tag == "img":
            self.pictures.append({**at, "webp": self.webp})

    def handle_endtag(self, tag):
        opened = [place for place, (name, _) in enumerate(self.within) if name == tag]
        if opened:
            del self.within[opened[-1] :]
        if tag == "label":
            self.in_label -= 1
        if tag == "picture":
            self.webp = None

    def dead(self) -> list[dict[str, str | None]]:
        """The buttons in sight that do nothing without a script: those are `hidden` until the script runs."""
        return [
            each
            for each in self.buttons
            if each.get("type") == "button"
            or not (each["form"] in self.forms if each.get("form") else each["in_form"])
        ]


def test_the_markup_of_every_page_is_sound(as_member):
    for name, (path, member) in world().pages.items():
        text = as_member(member).get(path).text
        page = Markup()
        page.feed(text)
        assert page.headings.count(1) == 1, (name, page.headings)
        steps = zip(page.headings, page.headings[1:], strict=False)
        assert [pair for pair in steps if pair[1] > pair[0] + 1] == [], (name, page.headings)
        assert sorted(page.ids) == sorted(set(page.ids)), (
            name,
            [one for one in page.ids if page.ids.count(one) > 1],
        )
        for field in page.inputs:
            named = field.get("id") in page.labels or field.get("aria-label") or field["in_label"]
            assert named, (name, field)
        assert page.inline == [], name
        assert page.dead() == [], name
        assert all(
            picture.get("alt") and picture.get("width") and picture.get("height") for picture in page.pictures
        ), name
        assert 'class="skip"' in text
        assert "<main" in text


WORKED_ON = {"photo", "draft-marks", "open-draft", "measure"}
"""Pages on which marks, corners and lengths are placed: that needs every pixel, so there the JPEG is shown itself."""


def test_pictures_load_as_they_come_into_sight_and_in_webp_where_a_browser_takes_it(as_member):
    sizes = set()
    for name, (path, member) in world().pages.items():
        page = Markup()
        page.feed(as_member(member).get(path).text)
        # Only the first picture, which may be the largest thing in sight, is fetched at once.
        assert [each for each in page.pictures[1:] if each.get("loading") != "lazy"] == [], name
        bare = [each["src"] for each in page.pictures if each["src"].endswith(".jpg") and not each["webp"]]
        assert all(src.endswith("-full.jpg") for src in bare), name
        assert not bare or name in WORKED_ON, name
        sizes |= {each["webp"].rpartition("-")[2] for each in page.pictures if each["webp"]}
    assert {"1600.webp", "800.webp", "320.webp"} <= sizes


def test_no_page_shows_an_address_and_each_carries_the_policy_against_scripts(as_member):
    for name, (path, member) in world().pages.items():
        answer = as_member(member).get(path)
        assert not re.search(r"[\w.]+@[\w.]+\.\w+", answer.text), name
        policy = answer.headers["Content-Security-Policy"]
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy


def test_reading_without_an_account_sets_no_cookie(as_member):
    for name, (path, _) in world().pages.items():
        reader = as_member()
        if reader.get(path).status_code == 200 and not name.startswith("account_"):
            assert not reader.cookies, name


def test_times_are_marked_up(as_member):
    pages = world().pages
    for name in ("variant", "edition", "account", "dispute"):
        assert '<time datetime="2' in as_member(pages[name][1]).get(pages[name][0]).text, name


HOSTILE = "<img src=x onerror=alert(1)>"
SCRIPT = "</script><script>alert(2)</script>"


def test_T27_text_that_looks_like_markup_stays_text_on_every_page(as_member):
    made = world(
        title=f"T {HOSTILE}",
        nickname=f"N {HOSTILE}",
        note=f"W {SCRIPT}"[:40],
        reason=f"R {SCRIPT}",
        caption=f"C {HOSTILE}",
    )
    shown = 0
    for name, (path, member) in made.pages.items():
        text = as_member(member).get(path).text
        assert "<img src=x" not in text, name
        assert "<script>alert" not in text, name
        shown += text.count("&lt;img src=x") + text.count("&lt;script&gt;")
    assert shown > 30, "the hostile words are on the pages, as text"


def test_pictures_are_taken_of_every_page(as_member):
    pages, beside = world().pages, {"search-nothing", "variant-contested"}
    shown = addresses()
    assert set(shown) - beside == set(pages)
    # Photographs made by factories have no file, so that none can be laid over another.
    names = {name: path for name, (path, who) in shown.items() if who == "anybody" and name != "compare"}
    assert {
        name: as_member().get(path, follow=True).status_code for name, path in names.items()
    } == dict.fromkeys(names, 200)
