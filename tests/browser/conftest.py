"""One Chromium for the whole run, one fresh context for each page. Needs Debian's chromium package."""

import os
import shutil
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, ConsoleMessage, Page, sync_playwright

from tests.pictures import jpeg

QUIET = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
]  # fmt: skip
PHONE, DESK = (390, 844), (1280, 900)
PICTURE = jpeg(1200, 800)
"""Shown for every photograph: rows made by factories have no file."""


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    program = shutil.which("chromium")
    assert program, "The tests in a browser need chromium: apt-get install chromium"
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"  # Playwright keeps an event loop in this thread
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=QUIET)
        yield browser
        browser.close()
    del os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"]


@pytest.fixture
def open_page(chromium: Browser, live_server) -> Iterator[Callable[..., Page]]:
    """Open a path of the site: `open_page("/", size=PHONE, member=member)`. Fails the test if a page logs an error.

    `bypass_csp=True` is for tools that inject a script of their own, such as the accessibility check.
    """
    contexts, complaints = [], []

    def open_at(path: str, size: tuple[int, int] = DESK, member: Any = None, **options: Any) -> Page:
        context = chromium.new_context(viewport={"width": size[0], "height": size[1]}, **options)
        contexts.append(context)
        if member is not None:
            context.add_cookies([session_of(member, live_server.url)])
        for pictures in ("**/media/**", "**/marks/*/crop.*"):
            context.route(pictures, lambda route: route.fulfill(body=PICTURE, content_type="image/jpeg"))
        page = context.new_page()
        page.on("pageerror", lambda error: complaints.append(f"{page.url}: {error}"))
        page.on("console", lambda said: is_complaint(said) and complaints.append(f"{page.url}: {said.text}"))
        page.goto(live_server.url + path)
        return page

    yield open_at
    for context in contexts:
        context.close()
    assert complaints == []


def is_complaint(said: ConsoleMessage) -> bool:
    """Not what the browser notes though it is regular: a refusal answered with 422, and a network that a test cuts."""
    regular = ("status of 422", "net::ERR_FAILED", "net::ERR_INTERNET_DISCONNECTED")
    return said.type == "error" and not any(words in said.text for words in regular)


def session_of(member: Any, site: str) -> dict[str, str]:
    """The cookie of somebody who has signed in."""
    from django.conf import settings
    from django.test import Client

    client = Client()
    client.force_login(member)
    name = settings.SESSION_COOKIE_NAME
    return {"name": name, "value": client.cookies[name].value, "url": site}
