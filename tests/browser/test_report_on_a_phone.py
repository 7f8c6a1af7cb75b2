"""On a phone a report asks only what there is to say, without scripts and by keyboard."""

import pytest
from django.utils import timezone

from registry import actions
from tests.browser.conftest import DESK, PHONE
from tests.path import Scene

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def draft():
    scene = Scene()
    base = scene.report(scene.anchor)
    return actions.start_draft(
        by=scene.author, at=timezone.now(), release=scene.release, differs_from=base, content={}
    )


def selects(page, detail: str):
    """What is asked about a detail: of one's own, and of the other."""
    row = page.locator("tr").filter(has_text=detail)
    return row.locator("td:nth-child(2) select"), row.locator("td:nth-child(3) select")


def test_the_other_side_of_a_detail_is_asked_for_once_one_says_what_ones_own_shows(open_page, draft):
    page = open_page(
        f"/drafts/{draft.public_id}/details", size=PHONE, member=draft.author, java_script_enabled=False
    )
    mine, other = selects(page, "Side stripe")
    assert not other.is_visible()
    mine.focus()
    page.keyboard.type("red")
    assert other.is_visible()
    page.keyboard.press("Tab")
    page.keyboard.type("blue")
    assert "" not in (mine.input_value(), other.input_value())
    mine.select_option("")
    assert other.is_visible()  # what was said there is not hidden
    assert not selects(page, "Wheels")[1].is_visible()


def test_on_a_desk_both_sides_stand_beside_each_other(open_page, draft):
    page = open_page(f"/drafts/{draft.public_id}/details", size=DESK, member=draft.author)
    assert all(one.is_visible() for one in selects(page, "Side stripe"))


def test_names_are_folded_until_there_are_some_and_opened_by_keyboard(open_page, draft):
    address = f"/drafts/{draft.public_id}/details"
    page = open_page(address, size=PHONE, member=draft.author, java_script_enabled=False)
    fold = page.get_by_text("Names for it, and whether it was published before")
    name = page.get_by_label("Short name")
    assert not name.is_visible()
    fold.focus()
    page.keyboard.press("Enter")
    name.fill("Red stripe")
    page.get_by_role("button", name="Keep", exact=True).click()
    page.goto(page.url)
    assert page.get_by_label("Short name").is_visible()
    assert page.get_by_label("Short name").input_value() == "Red stripe"


def test_the_code_for_a_slip_of_paper_is_seen_before_its_fold_is_opened(open_page, draft):
    page = open_page(
        f"/drafts/{draft.public_id}/photos", size=PHONE, member=draft.author, java_script_enabled=False
    )
    fold = page.locator("summary").filter(has_text="on a slip of paper beside it")
    assert fold.locator(".id").is_visible()
    why = page.get_by_text("It is this report’s own code")
    assert not why.is_visible()
    fold.press("Enter")
    assert why.is_visible()
