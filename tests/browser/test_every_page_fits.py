"""Every page in a real browser, on a phone and on a desk: nothing sticks out, nothing complains, all can use it."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from allauth.mfa.recovery_codes.internal.auth import RecoveryCodes
from allauth.mfa.totp.internal.auth import TOTP
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, Route

from registry.models import Member
from tests.browser.conftest import DESK, PHONE, PICTURE
from tests.factories import MemberFactory
from tests.web.everything import World, world
from tests.web.test_account_words import passkey_of
from tests.web.test_T23_second_step import SECRET, signed_up

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
AXE = {"resultTypes": ["violations"], "rules": {"target-size": {"enabled": True}}}
WALK = (Path(__file__).parent / "walk.js").read_text()
MADE = {"pocket": "#pocket[data-ready]"}
"""What a script adds a while after a page has loaded."""
OF_ACCOUNTS = (
    "email/", "password/change/", "password/reset/", "password/reset/done/", "password/reset/key/done/",
    "password/reset/key/1-2-3/", "inactive/", "logout/", "reauthenticate/", "sessions/", "2fa/",
    "2fa/recovery-codes/generate/", "2fa/totp/activate/", "2fa/webauthn/add/",
)  # fmt: skip
OF_A_SECOND_STEP = (
    "2fa/", "2fa/reauthenticate/", "2fa/recovery-codes/", "2fa/recovery-codes/generate/", "2fa/totp/deactivate/",
    "2fa/webauthn/", "2fa/webauthn/reauthenticate/", "2fa/webauthn/keys/{}/edit/", "2fa/webauthn/keys/{}/remove/",
)  # fmt: skip
LOW = """() => [...document.querySelectorAll("button, input:not([type=hidden]), select, nav a, .button, summary")]
    .filter((one) => one.checkVisibility() && one.getBoundingClientRect().height < 24)
    .map((one) => one.outerHTML.slice(0, 80))"""
MOVING = """() => {
    const within = (part) => [...part.cssRules ?? []]
        .filter((rule) => !rule.media || matchMedia(rule.media.mediaText).matches)
        .flatMap((rule) => [rule, ...within(rule)]);
    const seconds = (text) => Math.max(...text.split(",").map((one) => parseFloat(one) * (/ms/.test(one) ? .001 : 1)));
    return [...[...document.styleSheets].flatMap(within), ...document.querySelectorAll("[style]")]
        .filter(({style}) => style && (seconds(style.transitionDuration) > .01 || seconds(style.animationDuration) > .01
            || style.scrollBehavior === "smooth"))
        .map((one) => one.cssText ?? one.outerHTML.slice(0, 80))
        .concat(document.getAnimations().map((one) => one.id || "an animation"));
}"""
LARGEST = """() => new Promise((done) => {
    const sent = fetch(location.href).then((answer) => answer.text());
    const words = (text) => text.replace(/\\s+/g, " ").trim().slice(0, 60);
    new PerformanceObserver(async (seen) => {
        const it = seen.getEntries().at(-1).element;
        const page = new DOMParser().parseFromString(await sent, "text/html");
        const twins = it ? [...page.querySelectorAll(it.tagName)] : [];
        const source = (one) => one.getAttribute("src")?.slice(0, 40); // not all of a secret drawn anew each time
        const found = twins.some((one) => source(one) === source(it)
            && words(one.textContent) === words(it.textContent));
        done(found ? "" : it ? it.outerHTML.slice(0, 120) : "gone");
    }).observe({type: "largest-contentful-paint", buffered: true});
})"""


@pytest.fixture(autouse=True)
def just_signed_in(monkeypatch):
    """No page asks for the password once more."""
    asks = "allauth.account.internal.flows.reauthentication.did_recently_reauthenticate"
    monkeypatch.setattr(asks, lambda request: True)


def answered(route: Route) -> None:
    """A pocket sheet's small pictures are cut from files, which rows made by factories have not."""
    route.fulfill(body=PICTURE, content_type="image/jpeg")


def each_page(
    open_page, pages: dict[str, tuple[str, Member | None]], **how: Any
) -> Iterator[tuple[str, Page]]:
    """Every page, opened by the one who may; one window for each member.

    No page is kept for later: what fetches it for that would be answered by no window.
    """
    windows: dict[Member | None, Page] = {}
    for name, (path, member) in pages.items():
        if member not in windows:
            windows[member] = open_page("/how/words", member=member, service_workers="block", **how)
            windows[member].route("**/pocket/*/*.jpg", answered)
        page = windows[member]
        address = "/".join(page.url.split("/")[:3]) + path
        page.goto(address)
        assert page.url == address
        if name in MADE:
            page.wait_for_selector(MADE[name])
        yield name, page


def pages_of(made: World) -> dict[str, tuple[str, Member | None]]:
    """Those of accounts, too, which a library shows with our templates."""
    member, wary, new = (signed_up(MemberFactory()) for _ in range(3))
    TOTP.activate(wary, SECRET)
    RecoveryCodes.activate(wary)
    passkey = passkey_of(wary, "Harbour phone")
    new.set_unusable_password()
    new.save()
    return (
        made.pages
        | {path: (f"/accounts/{path}", member) for path in OF_ACCOUNTS}
        | {f"with one, {path}": (f"/accounts/{path.format(passkey.pk)}", wary) for path in OF_A_SECOND_STEP}
        | {"password/set/": ("/accounts/password/set/", new)}
    )


def walked(page: Page, key: str) -> list[str]:
    """What hinders somebody who goes round the page by pressing this key alone."""
    page.evaluate(WALK)
    places = page.evaluate("walk.begin()")
    for _ in range(4):  # fields of dates have places within
        for _ in range(places + 3):
            page.keyboard.press(key)
        if page.evaluate("walk.isRound()"):
            break
    return page.evaluate("isBackward => walk.faults(isBackward)", key == "Shift+Tab")


def hindered(page: Page, key: str) -> list[str]:
    """What a second walk finds again: a browser under load was seen, once in hundreds of walks, to lose its place."""
    found = walked(page, key)
    return [fault for fault in walked(page, key) if fault in found] if found else []


def keys_that_matter(page: Page) -> list[str]:
    """What stays in place can hide the place before, not the next one."""
    page.evaluate(WALK)
    return ["Tab", "Shift+Tab"] if page.evaluate("walk.sticks()") else ["Tab"]


def wider_than_a_screen(page: Page) -> list[str]:
    wide = []
    for width, height in (DESK, PHONE):
        page.set_viewport_size({"width": width, "height": height})
        if (needed := page.evaluate("document.documentElement.scrollWidth")) > width:
            wide.append(f"{needed} pixels wide on a screen of {width}")
    return wide


def against_the_rules(page: Page) -> list[str]:
    """In light and in dark; the page is left as it was opened."""
    was, found = page.evaluate("matchMedia('(prefers-color-scheme: dark)').matches"), []
    for is_dark in (not was, was):
        scheme = "dark" if is_dark else "light"
        page.emulate_media(color_scheme=scheme)
        faults = Axe().run(page, options=AXE).response["violations"]
        found += [f"{scheme}, {fault['id']}: {node['target']}" for fault in faults for node in fault["nodes"]]
    return found


def test_each_page_fits_a_phone_is_drawn_by_no_script_and_can_be_used_by_keys_alone_without_motion(open_page):
    found = {}
    how = {"size": PHONE, "color_scheme": "light", "reduced_motion": "reduce", "bypass_csp": True}
    for name, page in each_page(open_page, pages_of(world()), **how):
        by_script = page.evaluate(LARGEST)
        faults = [
            *([f"drawn by a script: {by_script}"] if by_script else []),
            *against_the_rules(page),
            *(f"lower than 24 pixels: {one}" for one in page.evaluate(LOW)),
            *(f"moves: {one}" for one in page.evaluate(MOVING)),
            *(fault for key in keys_that_matter(page) for fault in hindered(page, key)),
            *wider_than_a_screen(page),
        ]
        if faults:
            found[name] = faults
    assert found == {}


def test_each_page_in_german_fits_both_screens_and_breaks_no_rule_of_accessibility_on_a_desk(open_page):
    found = {}
    how = {"size": DESK, "color_scheme": "dark", "locale": "de-DE", "bypass_csp": True}
    for name, page in each_page(open_page, pages_of(world()), **how):
        assert page.locator("html").get_attribute("lang") == "de"
        if faults := [*against_the_rules(page), *wider_than_a_screen(page)]:
            found[name] = faults
    assert found == {}


def test_what_hinders_somebody_at_a_keyboard_is_noticed(open_page):
    page = open_page("/how/words", size=PHONE)
    assert any("transition" in rule for rule in page.evaluate(MOVING)), "to who has not asked for calm"
    page.evaluate(
        """() => {
            const [brand, browse, help] = [".wordmark", "nav a", ".footing a"]
                .map((one) => document.querySelector(one));
            brand.style.outline = "none";
            browse.tabIndex = 5;
            help.addEventListener("focus", () => document.querySelector(".footing li:nth-child(2) a").focus());
            const [cover, roll] = [document.createElement("p"), document.createElement("p")];
            cover.style.cssText = "position: fixed; inset: 0 0 auto; height: 5rem; margin: 0; background: red";
            roll.style.cssText = "overflow: auto; height: 2rem";
            roll.className = "roll";
            roll.textContent = "lorem ".repeat(200);
            roll.tabIndex = -1;
            document.querySelector("main").append(cover, roll);
        }"""
    )
    faults = "\n".join(hindered(page, "Tab"))
    assert 'Focus is not shown on <a class="wordmark"' in faults
    assert 'Focus is out of sight on <a class="wordmark"' in faults
    assert 'Tab leaves the order at <a class="skip"' in faults
    assert 'Tab does not reach <a href="/help"' in faults
    assert 'No key scrolls <p class="roll"' in faults
    page.locator("#find").evaluate(
        "one => one.addEventListener('keydown', (event) => event.preventDefault())"
    )
    assert any(
        fault.startswith('Tab does not come round from <input id="find"') for fault in hindered(page, "Tab")
    )


def test_T27_hostile_text_runs_nowhere_and_breaks_no_policy(open_page):
    hostile = "<img src=x onerror=alert(1)>"
    words = dict.fromkeys(("title", "nickname", "note", "reason", "caption"), hostile)
    for name, page in each_page(open_page, world(**words).pages):
        page.on("dialog", lambda dialog: pytest.fail(f"a script ran: {dialog.message}"))
        assert page.locator("img[src='x']").count() == 0, name
