"""A page is shared with whatever the device has for it; where it has nothing, no button asks to be pressed."""

import pytest

from tests.web.everything import world

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
KEEPS = (
    "navigator.share = async (what) => { window.shared = what; throw new DOMException('', 'AbortError'); };"
)


def test_a_variant_and_a_comparison_sheet_are_shared_by_their_address(open_page):
    pages = world().pages
    for name in ("variant", "sheet"):
        address = pages[name][0]
        bare = open_page(address)
        assert bare.evaluate("'share' in navigator") is False
        assert bare.get_by_text("Share it").count() == 1
        assert not bare.get_by_text("Share it").is_visible()
        page = open_page("/help")
        page.add_init_script(KEEPS)
        page.goto(bare.url)
        button = page.get_by_role("button", name="Share it")
        button.focus()
        page.keyboard.press("Enter")
        shared = page.evaluate("window.shared")
        assert shared["url"] == bare.url
        assert shared["title"]
