"""Where we have one word and collectors another, pages say theirs."""

import re
from html.parser import HTMLParser

import pytest

from registry.actions.index import index
from tests.factories import TraitFactory
from tests.web.everything import world

pytestmark = pytest.mark.django_db
UNREAD = {"code", "pre", "script", "style"}


class Read(HTMLParser):
    """The words of a page that people read; what stands as code is for programs."""

    def __init__(self):
        super().__init__()
        self.words: list[str] = []
        self.within: list[str] = []

    def handle_starttag(self, tag, attributes):
        if tag in UNREAD:
            self.within.append(tag)
        self.words += [
            value or "" for name, value in attributes if name in ("alt", "aria-label", "placeholder")
        ]

    def handle_endtag(self, tag):
        if tag in UNREAD:
            self.within.pop()

    def handle_data(self, data):
        if not self.within:
            self.words.append(data)


def test_pages_say_detail_and_never_trait(as_member):
    made = world()
    proposed = TraitFactory(line=made.scene.release.line, name="Rung", acceptance="proposed")
    index(made.scene.crest)
    made.pages |= {
        "search for a detail": ("/search?q=crest", None),
        "a proposed detail": (f"/moderation/trait/{proposed.public_id}", made.scene.moderator),
    }
    said = {}
    for name, (path, member) in made.pages.items():
        page = Read()
        page.feed(as_member(member).get(path).text)
        said[name] = re.findall(r"\btraits?\b", " ".join(page.words), re.IGNORECASE)
    assert {name: words for name, words in said.items() if words} == {}
    assert "<small>detail" in as_member().get("/search?q=crest").text
    assert (
        "Proposed detail: Rung"
        in as_member(made.scene.moderator).get(made.pages["a proposed detail"][0]).text
    )
