"""What is gathered to say how common a variant is: full counts, line by line, and finds added up."""

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from registry.methods.abundance import absence
from registry.models import CountLine, VariantStanding
from registry.queries import abundance as query
from registry.queries.abundance import release_abundance
from tests.factories import (
    NOON,
    ClaimFactory,
    MemberFactory,
    ReleaseFactory,
    SightingFactory,
    StateFactory,
    TraitFactory,
    VariantFactory,
)

pytestmark = pytest.mark.django_db
LATER = NOON + timedelta(days=30)


@pytest.fixture
def release():
    return ReleaseFactory()


@pytest.fixture
def pair(release):
    return [VariantFactory(release=release, title=title) for title in ("Anchor", "Gull")]


def line(sighting, kind, n, *variants):
    CountLine.objects.create(sighting=sighting, kind=kind, n=n).variants.set(variants)


def count(release, *told, **fields):
    """A full count of a case, made when every variant was known; `told` pairs a variant with how many."""
    given = {"scope": "case", "is_full_count": True, "added_at": LATER, "country": "NL", **fields}
    sighting = SightingFactory(release=release, **given)
    for variant, n in told:
        line(sighting, "variant" if variant else "none_known", n, *([variant] if variant else []))
    return sighting


def told(answer):
    return {share.variant: share.examples for share in answer.whole.shares}


def test_cases_are_counted_and_finds_only_named(release, pair):
    anchor, gull = pair
    count(release, (anchor, 9))
    count(release, (anchor, 3))
    for _ in range(2):
        line(SightingFactory(release=release), "variant", 1, gull)
    answer = release_abundance(release)
    first, second = answer.whole.shares
    assert (first.status, first.examples, first.clusters) == ("counted", 12, 2)
    assert answer.whole.units == {"case": 2}
    assert answer.whole.words(second) == "no estimate, only finds (2)"


def test_ten_thousand_finds_of_one_member_place_and_day_are_one(release, pair):
    keel = MemberFactory()
    for _ in range(5):
        line(SightingFactory(release=release, by=keel), "variant", 2000, pair[0])
    assert release_abundance(release).whole.shares[0].finds == 1


def test_what_was_taken_back_or_no_full_count_says_nothing(release, pair):
    count(release, (pair[0], 9), withdrawn_at=LATER)
    answer = release_abundance(release)
    assert [share.status for share in answer.whole.shares] == ["not_counted", "not_counted"]


def test_a_count_made_before_a_variant_was_known_is_one_of_these(release, pair):
    anchor, gull = pair
    gull.sent_at = LATER
    gull.save()
    count(release, (anchor, 9), added_at=NOON)
    count(release, (anchor, 3), (gull, 1), added_at=LATER)
    answer = release_abundance(release)
    assert told(answer) == {anchor.public_id: 3, gull.public_id: 1}
    assert answer.whole.examples == 13


def test_a_count_that_could_not_see_the_difference_is_one_of_these(release, pair):
    anchor, gull = pair
    crest, wheels = (TraitFactory(line=release.line, adopted_by=release) for _ in range(2))
    ClaimFactory(variant=gull, trait=crest, state=StateFactory(trait=crest), is_difference=True)
    count(release, (anchor, 9)).traits_seen.add(wheels)
    count(release, (anchor, 4)).traits_seen.add(crest)
    assert told(release_abundance(release)) == {anchor.public_id: 4, gull.public_id: 0}


def test_none_of_the_known_ones_is_a_kind_of_its_own(release, pair):
    count(release, (pair[0], 9), (None, 2))
    assert told(release_abundance(release)) == {pair[0].public_id: 9, pair[1].public_id: 0, "": 2}


def test_items_of_a_struck_variant_could_not_be_told_and_those_of_a_merged_one_are_its_survivors(
    release, pair
):
    struck = VariantFactory(release=release)
    merged = VariantFactory(release=release)
    count(release, (pair[0], 5), (struck, 2), (merged, 4))
    struck.standing = VariantStanding.STRUCK
    merged.standing, merged.merged_into = VariantStanding.MERGED, pair[1]
    for variant in (struck, merged):
        variant.save()
    answer = release_abundance(release)
    assert told(answer) == {pair[0].public_id: 5, pair[1].public_id: 4}
    assert answer.whole.could_not_tell == 2


def test_a_case_of_many_releases_counts_in_each_for_its_own(release, pair):
    other = VariantFactory()
    sighting = count(other.release, (pair[0], 5), (other, 7), (None, 3))
    line(sighting, "one_of_these", 2, pair[0], other)
    answer = release_abundance(release)
    assert told(answer) == {pair[0].public_id: 5, pair[1].public_id: 0}
    assert answer.whole.could_not_tell == 2
    assert told(release_abundance(other.release)) == {other.public_id: 7, "": 3}


def test_where_no_second_variant_is_known_comparing_many_bounds_it(release):
    anchor = VariantFactory(release=release)
    count(release, (anchor, 40), cases_compared=8)
    count(release, (anchor, 10), scope="peg")
    assert release_abundance(release).absence == absence(40, 8)
    count(release, (None, 1))
    assert release_abundance(release).absence is None


def test_a_release_without_a_variant_was_compared_all_the_same(release):
    count(release, (None, 30), cases_compared=5)
    assert release_abundance(release).absence == absence(30, 5)


def test_countries_and_years_are_told_apart_where_there_are_three_looks_at_each(release, pair):
    for n in range(3):
        count(release, (pair[0], 9), country="NL", seen_on=date(2025, 3, 1 + n))
        count(release, (pair[1], 9), country="DK", seen_on=date(2025, 3, 1 + n))
    count(release, (pair[1], 9), country="NO")
    answer = release_abundance(release)
    assert set(answer.by_country) == {"DK", "NL"}
    assert answer.by_year == {}
    assert answer.by_country["DK"].shares[1].examples == 27


def test_past_the_most_the_newest_counts_are_taken_and_one_day_takes_no_more_than_its_part(
    release, pair, monkeypatch
):
    monkeypatch.setattr(query, "MOST_COUNTS", 4)
    monkeypatch.setattr(query, "MOST_A_DAY", 2)
    keel = MemberFactory()
    for n in range(5):
        count(release, (pair[0], 1 + n), by=keel, seen_on=date(2025, 6, 1))
    for month in (1, 2, 3):
        count(release, (pair[1], 10 * month), seen_on=date(2025, month, 1))
    answer = release_abundance(release)
    assert told(answer) == {pair[0].public_id: 3, pair[1].public_id: 50}
    assert answer.is_cut


def test_it_costs_four_queries_for_two_of_everything_and_for_twenty():
    costs = []
    for size in (2, 20):
        release = ReleaseFactory()
        variants = [VariantFactory(release=release) for _ in range(size)]
        for variant in variants:
            count(release, (variant, 3))
        with CaptureQueriesContext(connection) as asked:
            release_abundance(release)
        costs.append(len(asked))
    assert costs == [4, 4]
