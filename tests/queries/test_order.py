"""What is gathered to put a release in order: statements with their votes, dated sightings, windows."""

from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from registry import actions
from registry.models import CountLine, Sighting, Statement, VariantStanding
from registry.queries.order import MOST_STRANDS, first_seen, pack_kinds, release_sequence
from registry.queries.siblings import EARLIEST, siblings
from tests.factories import (
    AssortmentFactory,
    AssortmentItemFactory,
    MemberFactory,
    PackContentFactory,
    ReleaseFactory,
    ReviewerFactory,
    SightingFactory,
    StatementFactory,
    VariantFactory,
)
from tests.path import now

pytestmark = pytest.mark.django_db
TODAY = date(2026, 1, 1)


@pytest.fixture
def release():
    return ReleaseFactory()


@pytest.fixture
def trio(release):
    return [VariantFactory(release=release, title=title) for title in ("Anchor", "Gull", "Chrome")]


def see(variant, day, **fields):
    sighting = SightingFactory(release=variant.release, seen_on=day, **fields)
    CountLine.objects.create(sighting=sighting, kind="variant", n=1).variants.add(variant)
    return sighting


def said(variant, other=None, **fields):
    return StatementFactory(variant=variant, other=other, **{"source_kind": "makers_notice", **fields})


def test_a_notice_orders_production_and_a_dated_sighting_only_shipping(release, trio):
    anchor, gull, chrome = trio
    said(anchor, gull)
    said(gull, chrome, source_kind="dated_sighting")
    order = release_sequence(release, TODAY).order
    assert order.steps() == ((anchor.public_id, gull.public_id),)
    assert order.steps("shipping") == ((gull.public_id, chrome.public_id),)


def test_the_earliest_sighting_bounds_the_first_day_of_shipping_by_country_too(release, trio):
    see(trio[0], date(2025, 4, 9), country="NL")
    see(trio[0], date(2025, 3, 2), country="DK")
    see(trio[0], date(2025, 2, 1), country="DK", withdrawn_at=now())
    sequence = release_sequence(release, TODAY)
    assert sequence.countries == ("DK", "NL")
    spans = [sequence.order.span(trio[0].public_id, "shipping", place) for place in ("", "DK", "NL")]
    days = [date(2025, 3, 2), date(2025, 3, 2), date(2025, 4, 9)]
    assert [span.first_to for span in spans] == [day.toordinal() for day in days]


def test_one_member_speaks_once_for_a_variant_in_a_country_and_only_the_first_few_are_taken(release, trio):
    keel = MemberFactory()
    for day in range(1, 9):
        see(trio[0], date(2025, 4, day), by=keel)
        see(trio[0], date(2025, 5, day))
    seen = [s for s in release_sequence(release, TODAY).order.statements if s.kind == "seen"]
    days = [date(2025, 4, 1), date(2025, 5, 1), date(2025, 5, 2)]
    assert sorted(s.latest for s in seen) == [day.toordinal() for day in days]
    assert len(seen) == EARLIEST


def test_counted_votes_are_the_support_and_being_disputed_halves_it_while_what_is_refuted_is_not_used(
    release, trio
):
    statement = said(trio[0], trio[1])
    for verdict in ("confirms", "confirms", "contradicts"):
        actions.cast_vote(statement=statement, by=ReviewerFactory(), verdict=verdict, basis="photo", at=now())
    actions.cast_vote(statement=statement, by=MemberFactory(), verdict="confirms", basis="photo", at=now())
    source = release_sequence(release, TODAY).sources[statement.public_id]
    assert (source.confirms, source.contradicts, source.support) == (2, 1, 2.0)
    Statement.objects.update(standing="disputed")
    assert release_sequence(release, TODAY).sources[statement.public_id].support == 1.0
    Statement.objects.update(standing="refuted")
    assert release_sequence(release, TODAY).order.statements == ()


def test_a_pack_with_both_and_a_code_bound_the_days_of_making(release, trio):
    said(trio[0], trio[1], kind="packed", on=date(2025, 3, 2), source_kind="packing_date")
    made = [release_sequence(release, TODAY).bounds(one).first_to for one in trio]
    assert made == [date(2025, 3, 2), date(2025, 3, 2), None]


def test_a_circle_of_three_is_named_and_the_least_supported_is_left_out(release, trio):
    anchor, gull, chrome = trio
    circle = [said(anchor, gull), said(gull, chrome), said(chrome, anchor)]
    for statement in circle[:2]:
        actions.cast_vote(
            statement=statement, by=ReviewerFactory(), verdict="confirms", basis="photo", at=now()
        )
    sequence = release_sequence(release, TODAY)
    conflict = sequence.order.conflict
    assert set(conflict.statements) == {statement.public_id for statement in circle}
    assert sequence.order.dropped.statements == (circle[2].public_id,) == conflict.doubt[:1]
    assert sequence.named(conflict.doubt)[0].words == "Chrome was made before Anchor"


def test_what_was_set_apart_or_taken_back_has_no_place_in_the_order(release, trio):
    trio[2].standing = VariantStanding.SET_APART
    trio[2].save()
    said(trio[0], trio[2])
    said(trio[0], trio[1], closed_at=now())
    sequence = release_sequence(release, TODAY)
    assert sequence.order.variants == (trio[0].public_id, trio[1].public_id)
    assert sequence.order.statements == ()
    assert sequence.left_out == 1


def test_what_was_said_of_a_merged_variant_is_said_of_its_survivor(release, trio):
    said(trio[2], trio[1])
    see(trio[2], date(2025, 3, 2))
    trio[2].standing, trio[2].merged_into = VariantStanding.MERGED, trio[0]
    trio[2].save()
    order = release_sequence(release, TODAY).order
    assert order.steps() == ((trio[0].public_id, trio[1].public_id),)
    assert order.span(trio[0].public_id, "shipping").first_to == date(2025, 3, 2).toordinal()


def test_no_release_is_shipped_before_the_first_of_its_assortments_opens(release, trio):
    for month in (5, 3):
        assortment = AssortmentFactory(line=release.line, opens_on=date(2025, month, 1))
        AssortmentItemFactory(release=release, assortment=assortment)
    shipping = release_sequence(release, TODAY).order.span(trio[0].public_id, "shipping")
    assert shipping.first_from == date(2025, 3, 1).toordinal()
    PackContentFactory(release=release, pack__kind="two_pack")
    assert release_sequence(release, TODAY).order.span(trio[0].public_id, "shipping").first_from is None


def test_countries_are_told_apart_only_while_they_are_few(release, trio):
    for n in range(MOST_STRANDS // 3 + 1):
        for variant in trio:
            see(variant, date(2025, 3, 2), country=f"{chr(65 + n // 26)}{chr(65 + n % 26)}")
    sequence = release_sequence(release, TODAY)
    assert sequence.countries == ()
    assert sequence.order.span(trio[0].public_id, "shipping").first_to == date(2025, 3, 2).toordinal()


def test_packs_that_a_variant_was_seen_in_are_told_by_kind(release, trio):
    pack = PackContentFactory(release=release, pack__kind="play_set").pack
    see(trio[0], date(2025, 3, 2), pack=pack)
    see(trio[0], date(2025, 3, 3), pack=pack)
    see(trio[1], date(2025, 3, 3))
    assert pack_kinds(siblings(release)) == {trio[0].public_id: {"play_set"}}


def test_an_assortment_shows_what_was_seen_first_and_last(release, trio):
    assortment = AssortmentItemFactory(release=release).assortment
    see(trio[0], date(2025, 3, 2))
    see(trio[0], date(2025, 6, 2))
    see(trio[1], date(2025, 1, 2))
    see(trio[2], date(2025, 1, 1), withdrawn_at=now())
    rows = [(row.variant, row.first, row.last) for row in first_seen(assortment)]
    assert rows == [
        (trio[1], date(2025, 1, 2), date(2025, 1, 2)),
        (trio[0], date(2025, 3, 2), date(2025, 6, 2)),
    ]


def test_it_costs_four_queries_for_two_of_everything_and_for_twenty():
    costs = []
    for size in (2, 20):
        release = ReleaseFactory()
        variants = [VariantFactory(release=release) for _ in range(size)]
        for one, other in zip(variants, variants[1:], strict=False):
            said(one, other)
            see(one, date(2025, 3, 2), country="NL")
        with CaptureQueriesContext(connection) as asked:
            release_sequence(release, TODAY)
        costs.append(len(asked))
    assert costs == [4, 4]
    assert Sighting.objects.exists()
