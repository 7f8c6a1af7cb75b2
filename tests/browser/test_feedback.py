"""What a page says while it works: a form that is being sent, and times where the reader is."""

import pytest
from allauth.usersessions.models import UserSession

from registry.models import CabinetItem
from tests.browser.conftest import PHONE, session_of
from tests.factories import MemberFactory
from tests.web.everything import world

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_a_form_says_that_it_is_sent_and_is_sent_once(open_page):
    made = world()
    path, author = made.pages["put-item"]
    before = CabinetItem.objects.count()
    page = open_page(path, member=author, size=PHONE)
    asked = []
    page.on("request", lambda request: request.method == "POST" and asked.append(request.url))
    button = page.locator("main form button[type=submit]").last
    pressed = "button => { button.click(); const said = button.textContent; button.click(); return said; }"
    assert button.evaluate(pressed) == "Sending …"
    page.wait_for_url(lambda url: "/put/" not in url)
    assert len(asked) == 1
    assert CabinetItem.objects.count() == before + 1


def test_a_time_of_day_is_told_where_the_reader_is_and_in_utc_without_scripts(open_page):
    path, reviewer = world().pages["variant-history"]
    east = open_page(path, member=reviewer, timezone_id="Asia/Kolkata").locator("main time").first
    assert "UTC" in east.get_attribute("title")
    assert "GMT+5:30" in east.inner_text()
    plain = open_page(path, member=reviewer, java_script_enabled=False).locator("main time").first
    assert plain.inner_text().endswith(" UTC")


def test_a_comparison_sheet_is_kept_as_a_png_with_the_code_that_leads_back(open_page, tmp_path):
    import cv2

    path, _ = world().pages["sheet"]
    page = open_page(path)
    with page.expect_download() as kept:
        page.get_by_role("button", name="Keep it as one picture (PNG)").click()
    kept.value.save_as(tmp_path / "sheet.png")
    picture = cv2.imread(str(tmp_path / "sheet.png"))
    assert picture.shape[1] == 2160
    read, _, _ = cv2.QRCodeDetector().detectAndDecode(picture[-500:, -500:])
    assert read == page.url.removesuffix("/sheet")


def test_on_a_phone_each_browser_and_the_button_that_signs_it_out_are_in_sight(open_page, live_server):
    member = MemberFactory()
    lost = session_of(member, live_server.url)["value"]
    UserSession.objects.create(
        user=member,
        ip="127.0.0.1",
        session_key=lost,
        user_agent="Harbour Browser 3 (a rather long name) " * 3,
    )
    page = open_page("/accounts/sessions/", size=PHONE, member=member)
    button = page.locator("li", has_text="Harbour Browser 3").get_by_role("button")
    box = button.bounding_box()
    assert box["x"] + box["width"] <= PHONE[0]
    assert page.evaluate("document.documentElement.scrollWidth") == PHONE[0]
    button.click()
    page.get_by_text("That browser is signed out.").wait_for()
    assert not UserSession.objects.filter(session_key=lost).exists()
