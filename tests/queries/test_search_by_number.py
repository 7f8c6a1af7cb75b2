"""Numbers and packs are found however people type them."""

import pytest
from django.db import connection
from django.utils import translation

from registry.actions.index import index
from registry.models import PackKind, Release
from registry.queries.search import exactly, find, matching
from tests.factories import (
    AssortmentFactory,
    CastingFactory,
    LineFactory,
    PackFactory,
    ReleaseFactory,
    VariantFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def sled():
    """A release with a number, its variant, and others that share the number's parts. No name has another number."""
    line = LineFactory(name="Quayside")
    named = {"line": line, "casting": CastingFactory(name="Low sled", maker=line.maker)}
    release = ReleaseFactory(name="Zander Sled", number="Q64-011", **named)
    things = [
        release,
        VariantFactory(release=release, title="Anchor crest"),
        ReleaseFactory(name="Amber Tug 11", number="Q64-110", **named),
        ReleaseFactory(name="Q6411 tribute", number="Z1", **named),
        AssortmentFactory(name="Spring high water", case_code="QW-24 A07"),
    ]
    for thing in things:
        index(thing)
    return release


def names(text, **said):
    return [entry.title for entry in find(text, **said)]


@pytest.mark.parametrize(
    "typed", ["Q64-011", "q64011", "q64 011", "q64 11", "q6411", "Q64-11", "q.64/0011", "ｑ６４ １１"]
)
def test_a_release_is_found_first_by_its_number_with_or_without_signs_and_zeros(sled, typed):
    assert names(typed)[0] == "Zander Sled"
    assert "Anchor crest" in names(typed)
    assert names(typed, kinds=["variant"]) == ["Anchor crest"]


@pytest.mark.parametrize("typed", ["QW-24 A07", "qw24a07", "qw24a7", "qw 24 a 7"])
def test_an_assortment_is_found_by_its_case_code_so_too(sled, typed):
    assert names(typed) == ["Spring high water"]


def test_rows_of_a_queryset_are_narrowed_by_number_too(sled):
    assert sled in matching(Release.objects.all(), "release", "q64 11")
    assert sled not in matching(Release.objects.all(), "release", "q64 98765")


def test_the_beginning_of_a_number_finds_it_before_what_has_it_elsewhere(sled):
    assert names("q6401") == ["Zander Sled", "Anchor crest"]


def test_another_number_is_not_taken_for_it(sled):
    assert "Zander Sled" not in names("q64 110")
    assert names("q64 98765") == names("q6412") == names("z11") == []


def test_what_is_called_so_is_found_as_well_as_what_has_it_for_its_number(sled):
    index(CastingFactory(name="Q64 11"))
    assert names("q64 11")[0] == "Zander Sled"
    assert "Q64 11" in names("q64 11")


def test_a_number_costs_one_query_that_reads_no_whole_table(sled, django_assert_num_queries):
    with django_assert_num_queries(1):
        assert names("q64 11")
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SET LOCAL enable_seqscan = off")
    plan = exactly("q64 11").explain()
    assert "registry_searchentry" in plan
    assert "SCAN registry_searchentry" not in plan
    assert "Seq Scan" not in plan


@pytest.fixture
def packs():
    for name, kind in {
        "Dock pair": PackKind.TWO_PACK,
        "Harbour 3 pack": PackKind.MULTI_PACK,
        "Jetty 12-pack": PackKind.MULTI_PACK,
        "Kelp card": PackKind.SINGLE_CARD,
    }.items():
        index(PackFactory(name=name, kind=kind))


@pytest.mark.parametrize("typed", ["two-pack", "2-pack", "2 pack", "2pack", "2 packs", "2er-Pack"])
def test_a_pack_of_two_is_found_with_a_figure_too(packs, typed):
    assert names(typed) == ["Dock pair"]
    assert names(f"dock {typed}") == ["Dock pair"]
    assert names(f"kelp {typed}") == []


@pytest.mark.parametrize("typed", ["three-pack", "3-pack", "3 pack", "3er Pack"])
def test_a_pack_that_is_called_by_a_figure_is_found_by_the_word_too(packs, typed):
    assert names(typed) == ["Harbour 3 pack"]


def test_a_pack_of_twelve_is_none_of_two(packs):
    assert names("12-pack") == ["Jetty 12-pack"]


@pytest.mark.parametrize(
    ("typed", "name"),
    [("Zweierpack", "Dock pair"), ("zweierpack dock", "Dock pair"), ("Einzelkarte", "Kelp card")],
)
def test_a_kind_of_pack_is_found_by_what_the_readers_pages_call_it(packs, typed, name):
    assert names(typed) == []
    with translation.override("de"):
        assert names(typed) == [name]
