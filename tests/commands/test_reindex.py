"""reindex: records that were indexed by other words than today's are found by today's."""

from io import StringIO

import pytest
from django.core.management import call_command

from registry.models import SearchEntry, Trait
from registry.queries.search import find
from tests.factories import CastingFactory, ReleaseFactory
from tests.path import Scene

pytestmark = pytest.mark.django_db


def reindexed() -> str:
    out = StringIO()
    call_command("reindex", stdout=out)
    return out.getvalue()


def test_every_record_is_found_by_todays_words():
    release = ReleaseFactory(name="Harbour night", casting=CastingFactory(nicknames=["Salty"]))
    SearchEntry.objects.create(
        kind="release", public_id=release.public_id, title="Harbour night", words="harbour night"
    )
    assert find("salty") == []
    assert reindexed() == "5 records can be found\n", "with the line and the two makers"
    assert {entry.public_id for entry in find("salty")} == {release.public_id, release.casting.public_id}


def test_what_was_merged_has_no_entry():
    scene = Scene()
    Trait.objects.filter(pk=scene.stripe.pk).update(acceptance="merged", merged_into=scene.crest)
    reindexed()
    assert not SearchEntry.objects.filter(public_id=scene.stripe.public_id).exists()
    assert SearchEntry.objects.filter(public_id=scene.crest.public_id).exists()


def test_what_is_built_in_has_no_entry():
    Scene()
    reindexed()
    assert not SearchEntry.objects.filter(title__in=["Cause", "baseline", "does not apply"]).exists()
