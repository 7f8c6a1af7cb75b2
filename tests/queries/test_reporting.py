"""What a draft's steps say of it, whoever reads."""

import json

import pytest
from django.utils import translation

from registry.queries.reporting import items_of
from registry.sentences import Sentence
from tests.factories import ExampleFactory, SubmissionFactory

pytestmark = pytest.mark.django_db


def test_items_of_a_draft_are_kept_by_their_parts_and_read_in_english_whoever_looked():
    draft = SubmissionFactory(content={"examples": [{"ref": "one", "condition": "sealed"}]})
    noted = ExampleFactory(release=draft.release, owner=draft.author, condition="loose")
    with translation.override("de"):
        items = items_of(draft, draft.author)
        kept = json.loads(json.dumps([words.parts() for _, words in items]))
    assert [Sentence.of(parts) for parts in kept] == [
        "Item 1: sealed, mine",
        f"Noted earlier: loose ({noted.shown_id})",
    ]
