"""What is missing is kept by its parts, so that it can be said in another language, and blind for who has not voted."""

from importlib import import_module

import pytest
from django.db import connection

from registry.methods.standing import wording
from registry.models import Claim
from registry.sentences import Sentence
from tests.factories import ClaimFactory

keep_parts = import_module("registry.migrations.0020_sentences_by_their_parts")


@pytest.mark.django_db
def test_a_sentence_comes_back_whole():
    votes = wording.more_votes(2, "roof crest", owners=1)
    claim = ClaimFactory(missing=[votes, wording.a_mark("roof crest")])
    kept = Claim.objects.get(pk=claim.pk).missing
    assert kept == ["two more votes on roof crest, or one by owner with a photo of their own example",
                    "a mark on a photo that shows roof crest"]  # fmt: skip
    assert all(isinstance(sentence, Sentence) for sentence in kept)
    assert wording.unnumbered(kept[0]) == "more votes on roof crest"


@pytest.mark.django_db
def test_nothing_missing_is_an_empty_list():
    assert Claim.objects.get(pk=ClaimFactory().pk).missing == []


@pytest.mark.django_db
def test_sentences_kept_before_are_kept_by_their_parts_and_without_their_numbers():
    claim = ClaimFactory()
    before = (
        '["two more votes on roof crest, or one by owner with a photo of their own example", "100% of it"]'
    )
    with connection.cursor() as cursor:
        cursor.execute(f"UPDATE {Claim._meta.db_table} SET missing = %s WHERE id = %s", [before, claim.pk])  # noqa: S608
    keep_parts.keep_parts(OldRows, connection.schema_editor())
    assert Claim.objects.get(pk=claim.pk).missing == ["more votes on roof crest", "100% of it"]


class OldRows:
    """As a migration sees the models: `missing` is plain JSON there."""

    @staticmethod
    def get_model(app, name):
        from django.db.migrations.loader import MigrationLoader

        before = MigrationLoader(connection).project_state(("registry", "0019_opened_drafts_and_remarks"))
        return before.apps.get_model(app, name)
