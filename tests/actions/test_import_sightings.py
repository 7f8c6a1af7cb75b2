"""A member's own file of sightings: all of it, or nothing and every fault."""

import json
from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from registry import actions
from registry.errors import SheetRefused, TooMany
from registry.models import CountLine, JournalEntry, Sighting, Variant
from tests.factories import (
    NOON,
    ExampleFactory,
    MemberFactory,
    PackFactory,
    ReleaseFactory,
    TraitFactory,
    VariantFactory,
)

from .watching import refused

pytestmark = pytest.mark.django_db


@pytest.fixture
def variant():
    return VariantFactory()


@pytest.fixture
def member():
    return MemberFactory()


def said(variant, **more):
    return {
        "release": variant.release.public_id, "scope": "peg", "seen_on": "2026-05-01",
        "count_lines": [{"variants": [variant.public_id], "n": 2}], **more,
    }  # fmt: skip


def sheet(*lines):
    return "\n".join(json.dumps(line) for line in lines).encode()


def bring(by, data, **more):
    return actions.import_sightings(by=by, at=NOON, data=data, **more)


def test_a_file_is_kept_with_one_line_in_the_journal(variant, member):
    trait, pack = TraitFactory(line=variant.release.line, adopted_by=variant.release), PackFactory()
    other = VariantFactory(release=variant.release)
    either = {"kind": "one_of_these", "variants": [variant.public_id, other.public_id], "n": 1}
    done = bring(member, sheet(
        said(variant, is_full_count=True, total=3, traits_seen=[trait.public_id], pack=pack.public_id,
             count_lines=[{"variants": [variant.public_id], "n": 2}, either]),
        said(variant, seen_on="2026-03-01", is_offer=True),
    ))  # fmt: skip
    assert (done.new, done.known, done.faults) == (2, 0, [])
    first, second = Sighting.objects.order_by("pk")
    assert (first.total, first.pack, list(first.traits_seen.all())) == (3, pack, [trait])
    assert [set(line.variants.all()) for line in first.count_lines.order_by("pk")] == [
        {variant},
        {variant, other},
    ]
    assert second.is_offer
    assert Variant.objects.get(pk=variant.pk).noticed_on == date(2026, 3, 1)
    assert JournalEntry.objects.get(verb="sightings.imported").detail["new"] == 2


def test_a_table_says_the_same_as_objects_do(variant, member):
    shown = "-".join(variant.public_id[at : at + 4] for at in (0, 4, 8))
    table = (
        "key;release;scope;seen_on;is_full_count;condition;counts\r\n"
        f'k1;{variant.release.public_id};case;2026-05-01;yes;sealed;"{shown} = 70; could not tell = 2"\r\n'
    )
    assert bring(member, table.encode()).new == 1
    lines = CountLine.objects.order_by("pk")
    assert [(line.kind, line.n, line.condition) for line in lines] == [
        ("variant", 70, "sealed"), ("could_not_tell", 2, "sealed"),
    ]  # fmt: skip


def test_a_dry_run_keeps_nothing_and_tells_all(variant, member):
    done = bring(
        member, sheet(said(variant), said(variant, seen_on="2099-01-01"), {"scope": "peg"}), dry_run=True
    )
    assert (done.new, done.known) == (1, 0)
    assert [(fault.line, fault.field) for fault in done.faults] == [(2, "seen_on"), (3, "release")]
    assert not Sighting.objects.exists()
    assert not JournalEntry.objects.filter(verb="sightings.imported").exists()


def test_one_fault_and_nothing_is_kept(variant, member):
    with refused(SheetRefused, says=["1 of the lines", "Line 2"]) as caught:
        bring(member, sheet(said(variant), said(variant, region="12 Quay Street")))
    told = caught.value.extra["faults"]
    assert [(fault["line"], fault["field"], fault["value"]) for fault in told] == [
        (2, "region", "12 Quay Street")
    ]
    assert "wide region" in told[0]["detail"]


def test_a_line_with_a_key_counts_once_however_often_it_comes(variant, member):
    data = sheet(said(variant, key="a"), said(variant, key="a"), said(variant, key="b"))
    assert [bring(member, data).new, bring(member, data).new] == [2, 0]
    assert bring(member, data, dry_run=True).known == 3
    assert bring(MemberFactory(), data).new == 2
    assert JournalEntry.objects.filter(verb="sightings.imported").count() == 2


def test_an_example_is_reported_once_in_a_file_and_before_it(variant, member):
    example, second = ExampleFactory(release=variant.release), ExampleFactory(release=variant.release)
    actions.report_sighting(
        by=member, at=NOON, release=variant.release, scope="item", seen_on=NOON.date(), example=example,
        count_lines=[{"variants": [variant], "n": 1}],
    )  # fmt: skip
    lines = [said(variant, scope="item", example=one.public_id) for one in (second, example, second)]
    faults = bring(member, sheet(*lines), dry_run=True).faults
    assert [(fault.line, fault.field) for fault in faults] == [(2, "example"), (3, "example")]


@pytest.mark.parametrize(
    ("more", "field"),
    [
        ({"release": "4k7d9xwpm2cx"}, "release"),
        ({"release": 7}, "release"),
        ({"scope": ["peg"]}, "scope"),
        ({"seen_on": "yesterday"}, "seen_on"),
        ({"seen_on": 20260501}, "seen_on"),
        ({"is_full_count": "yes"}, "is_full_count"),
        ({"is_full_count": True, "total": 9}, "total"),
        ({"is_full_count": True, "total": "2"}, "total"),
        ({"traits_seen": "roof"}, "traits_seen"),
        ({"traits_seen": ["nonsense"]}, "traits_seen"),
        ({"count_lines": 3}, "count_lines"),
        ({"count_lines": [3]}, "count_lines[0]"),
        ({"count_lines": [{"n": 1, "price": 2}]}, "count_lines[0]"),
        ({"count_lines": [{"n": 1, "variants": "x"}]}, "count_lines[0].variants"),
        ({"count_lines": [{"n": 1, "variants": ["x"]}]}, "count_lines[0].variants"),
        ({"count_lines": [{"n": 1, "kind": {}}]}, "count_lines[0].kind"),
        ({"note": 5}, "note"),
    ],
)
def test_what_makes_no_sense_is_a_fault_that_names_its_field(variant, member, more, field):
    faults = bring(member, sheet(said(variant, **more)), dry_run=True).faults
    assert [(fault.line, fault.field) for fault in faults] == [(1, field)]


def test_a_sighting_of_a_merged_release_is_one_of_the_survivor(variant, member):
    merged = ReleaseFactory(line=variant.release.line, acceptance="merged", merged_into=variant.release)
    bring(member, sheet(said(variant, release=merged.public_id)))
    assert Sighting.objects.get().release_id == variant.release_id


def test_a_file_costs_the_same_number_of_queries_however_long_it_is(variant, member):
    counted = []
    for length in (3, 40):  # SQLite takes about 45 rows in one insert
        with CaptureQueriesContext(connection) as queries:
            bring(member, sheet(*[said(variant, key=f"{length} {n}") for n in range(length)]))
        counted.append(len(queries))
    assert counted[0] == counted[1] <= 30


def test_T08_a_file_holds_no_more_than_an_account_may_send_in_a_day(variant, member, settings):
    settings.CASTLORE_QUOTA_FACTOR = 1
    assert bring(member, sheet(*[said(variant, key=f"{n}") for n in range(8)])).new == 8
    with refused(TooMany, says=["3 new sightings", "10 in 24 hours", "2 more"]):
        bring(member, sheet(*[said(variant, key=f"more {n}") for n in range(3)]))
    assert bring(member, sheet(*[said(variant, key=f"{n}") for n in range(10)])).new == 2
