"""Pages in the reader's language: nothing on them stays untranslated."""

import pytest

from tests.web.bracketed import any_of, brackets, outside_brackets, typed
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
