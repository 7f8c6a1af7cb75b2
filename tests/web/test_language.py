"""Pages in the reader's language: nothing on them stays untranslated."""

import pytest

from tests.web.bracketed import Frame, any_of, brackets, outside_brackets, typed
from tests.web.everything import world

pytestmark = pytest.mark.django_db

SAME_EVERYWHERE = {"Castlore", "English", "Deutsch"}


def test_every_sentence_of_every_page_can_be_translated(as_member):
    pages = world().pages
    known = any_of(typed() | SAME_EVERYWHERE)
    left = {}
    for name, (path, member) in pages.items():
        browser = as_member(member)
        with brackets():
            page = browser.get(path).content.decode()
        left[name] = sorted(set(outside_brackets(page, known)))
    assert {name: words for name, words in left.items() if words} == {}


def test_in_german_a_page_is_made_of_the_same_elements_and_numbers(as_member):
    """No decimal comma where a browser or a script reads a number, no German date where it reads a date."""
    other = {}
    for name, (path, member) in world().pages.items():
        browser = as_member(member)
        english, german = (
            Frame(browser.get(path, headers={"accept-language": language}).content.decode()).elements
            for language in ("en", "de")
        )
        other[name] = [*(english - german), *(german - english)]
    assert {name: elements for name, elements in other.items() if elements} == {}
