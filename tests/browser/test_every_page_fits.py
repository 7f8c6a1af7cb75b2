"""Every page in a real browser, on a phone and on a desk: nothing sticks out, nothing complains, all can read it."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Route

from tests.browser.conftest import DESK, PHONE, PICTURE
from tests.web.everything import world

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def answered(route: Route) -> None:
    """A pocket sheet's small pictures are cut from files, which rows made by factories have not."""
    route.fulfill(body=PICTURE, content_type="image/jpeg")


def each_page(open_page, pages, **how):
    """Every page, opened by the one who may; one window for each member."""
    windows = {}
    for name, (path, member) in pages.items():
        if member not in windows:
            windows[member] = open_page(path, member=member, **how)
            windows[member].route("**/pocket/*/*.jpg", answered)
        page = windows[member]
        page.goto("/".join(page.url.split("/")[:3]) + path)
        yield name, page


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_no_page_is_wider_than_the_screen(open_page, size):
    wide = {
        name: width
        for name, page in each_page(open_page, world().pages, size=size)
        if (width := page.evaluate("document.documentElement.scrollWidth")) > size[0]
    }
    assert wide == {}


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_page_breaks_a_rule_of_accessibility(open_page, scheme):
    broken = {}
    for name, page in each_page(open_page, world().pages, color_scheme=scheme, bypass_csp=True):
        if faults := Axe().run(page).response["violations"]:
            broken[name] = [(fault["id"], [node["target"] for node in fault["nodes"]]) for fault in faults]
    assert broken == {}


def test_everything_that_can_be_pressed_is_at_least_24_pixels_high(open_page):
    small = {}
    for name, page in each_page(open_page, world().pages, size=PHONE):
        found = page.evaluate(
            """() => [...document.querySelectorAll("button, input:not([type=hidden]), select, nav a, .button, summary")]
                .filter((one) => one.checkVisibility())
                .map((one) => [one.outerHTML.slice(0, 80), one.getBoundingClientRect().height])
                .filter(([, height]) => height < 24)"""
        )
        if found:
            small[name] = found
    assert small == {}


def test_T27_hostile_text_runs_nowhere_and_breaks_no_policy(open_page):
    hostile = "<img src=x onerror=alert(1)>"
    words = dict.fromkeys(("title", "nickname", "note", "reason", "caption"), hostile)
    pages = world(**words).pages
    for name, page in each_page(open_page, pages):
        page.on("dialog", lambda dialog: pytest.fail(f"a script ran: {dialog.message}"))
        assert page.locator("img[src='x']").count() == 0, name


LARGEST = """() => new Promise((done) => {
    const source = fetch(location.href).then((answer) => answer.text());
    const words = (text) => text.replace(/\\s+/g, " ").trim().slice(0, 60);
    new PerformanceObserver(async (seen) => {
        const it = seen.getEntries().at(-1).element;
        const page = new DOMParser().parseFromString(await source, "text/html");
        const twins = it ? [...page.querySelectorAll(it.tagName)] : [];
        const found = twins.some((one) => one.getAttribute("src") === it.getAttribute("src")
            && words(one.textContent) === words(it.textContent));
        done(found ? "" : it ? it.outerHTML.slice(0, 120) : "gone");
    }).observe({type: "largest-contentful-paint", buffered: true});
})"""


def test_the_largest_thing_on_each_page_is_in_its_source_and_made_by_no_script(open_page):
    made = {}
    for name, page in each_page(open_page, world().pages, size=PHONE):
        if by_script := page.evaluate(LARGEST):
            made[name] = by_script
    assert made == {}
