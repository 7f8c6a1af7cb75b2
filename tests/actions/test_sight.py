"""Sightings: what was seen, where and how many."""

from datetime import date, timedelta

import pytest

from registry import actions
from registry.errors import AlreadyClosed, IdentityMoved, InTheFuture, InvalidField, NotFound, TwinExists
from registry.models import CountLine, Release, Sighting, Variant
from tests.factories import (
    NOON,
    ExampleFactory,
    MemberFactory,
    PackFactory,
    ReleaseFactory,
    TraitFactory,
    VariantFactory,
)
from tests.path import Scene, now

from .watching import refused

pytestmark = pytest.mark.django_db
TODAY = NOON.date()


@pytest.fixture
def variant():
    return VariantFactory()


@pytest.fixture
def member():
    return MemberFactory()


def see(variant, by, **said):
    lines = [{"variants": [variant], "n": 2}]
    whole = {"release": variant.release, "scope": "peg", "seen_on": TODAY, "count_lines": lines, **said}
    return actions.report_sighting(by=by, at=NOON, **whole)


def noticed_on(variant):
    return Variant.objects.get(pk=variant.pk).noticed_on


def test_a_find_names_what_was_seen_and_how_many(variant, member):
    sighting = see(variant, member, country="nl", region=" North  Holland ")
    line = CountLine.objects.get()
    assert (line.kind, line.n, list(line.variants.all())) == ("variant", 2, [variant])
    assert (sighting.country, sighting.region, sighting.is_full_count) == ("NL", "North Holland", False)


def test_a_full_count_says_how_many_cases_and_which_traits_could_be_seen(variant, member):
    trait = TraitFactory(line=variant.release.line, adopted_by=variant.release)
    lines = [{"variants": [variant], "n": 1}, {"kind": "none_known", "n": 71}]
    sighting = see(
        variant, member, scope="case", count_lines=lines, is_full_count=True, cases_compared=3, picked_over="no",
        traits_seen=[trait],
    )  # fmt: skip
    assert (sighting.cases_compared, list(sighting.traits_seen.all())) == (3, [trait])


def test_the_earliest_day_a_variant_was_seen_is_kept(variant, member):
    see(variant, member, seen_on=date(2026, 3, 2))
    see(variant, member, seen_on=date(2026, 5, 2))
    assert noticed_on(variant) == date(2026, 3, 2)


def test_a_candidate_among_several_is_not_noticed_by_that(variant, member):
    other = VariantFactory(release=variant.release)
    see(variant, member, count_lines=[{"kind": "one_of_these", "variants": [variant, other], "n": 1}])
    assert noticed_on(variant) is None


def test_a_sighting_taken_back_gives_the_day_back_to_the_next_earliest(variant, member):
    wrong = see(variant, member, seen_on=date(2024, 3, 2))
    see(variant, member, seen_on=date(2026, 5, 2))
    actions.withdraw_sighting(sighting=wrong, by=member, at=now())
    assert noticed_on(variant) == date(2026, 5, 2)


def test_a_sighting_taken_back_gives_the_day_back_to_the_example_of_the_report():
    scene = Scene()
    variant = scene.report(scene.anchor)
    example = scene.example(owner=scene.author, found_month=date(2026, 4, 1))
    photo = scene.photo(example)
    photo.submission = variant.submissions.get()
    photo.save()
    wrong = see(variant, scene.author, seen_on=date(2024, 3, 2))
    actions.withdraw_sighting(sighting=wrong, by=scene.author, at=now())
    assert noticed_on(variant) == date(2026, 4, 1)


def test_a_sighting_taken_back_leaves_no_day_where_nothing_else_tells(variant, member):
    only = see(variant, member)
    actions.withdraw_sighting(sighting=only, by=member, at=now())
    assert noticed_on(variant) is None
    assert Sighting.objects.get().withdrawn_at is not None


def test_a_sighting_is_taken_back_once_and_by_its_own_member(variant, member):
    sighting, other = see(variant, member), MemberFactory()
    with refused(NotFound):
        actions.withdraw_sighting(sighting=sighting, by=other, at=now())
    actions.withdraw_sighting(sighting=sighting, by=member, at=now())
    with refused(AlreadyClosed):
        actions.withdraw_sighting(sighting=sighting, by=member, at=now())


def test_today_in_the_far_east_is_a_day_that_has_come(variant, member):
    assert see(variant, member, seen_on=TODAY + timedelta(days=1)).seen_on > TODAY


@pytest.mark.parametrize("day", [TODAY + timedelta(days=2), date(2099, 1, 1)])
def test_a_day_to_come_is_refused(variant, member, day):
    with refused(InTheFuture, field="seen_on", says=[day.isoformat(), "already come"]) as caught:
        see(variant, member, seen_on=day)
    assert caught.value.code == "in-the-future"


def line(**said):
    return {"count_lines": [said]}


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"seen_on": None}, "seen_on"),
        ({"seen_on": "2026-05-01"}, "seen_on"),
        ({"seen_on": date(1899, 12, 31)}, "seen_on"),
        ({"scope": "town"}, "scope"),
        ({"picked_over": "rather"}, "picked_over"),
        ({"count_lines": []}, "count_lines"),
        ({"count_lines": "three"}, "count_lines"),
        ({"count_lines": [{"kind": "none_known", "n": 1}] * 61}, "count_lines"),
        ({"count_lines": ["three"]}, "count_lines[0]"),
        (line(kind="guess"), "count_lines[0].kind"),
        (line(kind="variant"), "count_lines[0].variants"),
        (line(kind="none_known", n=0), "count_lines[0].n"),
        (line(kind="none_known", n=-1), "count_lines[0].n"),
        (line(kind="none_known", n=True), "count_lines[0].n"),
        (line(kind="none_known", n=100_001), "count_lines[0].n"),
        (line(kind="none_known", n=1, condition="worn"), "count_lines[0].condition"),
        ({"cases_compared": 2}, "cases_compared"),
        ({"cases_compared": 0, "is_full_count": True}, "cases_compared"),
        ({"cases_compared": 3, "is_full_count": True}, "cases_compared"),
        ({"total": 2}, "total"),
        ({"total": 0, "is_full_count": True}, "total"),
        ({"no_difference": True}, "no_difference"),
        ({"is_offer": "no"}, "is_offer"),
        ({"key": "x" * 61}, "key"),
        ({"seen_on": date(2023, 12, 31)}, "seen_on"),
        ({"country": "NLD"}, "country"),
        ({"region": "Quay Road"}, "region"),
        ({"note": "x" * 301}, "note"),
        ({"source": "a\x00"}, "source"),
    ],
)
def test_a_sighting_that_makes_no_sense_is_refused(variant, member, said, field):
    with refused(InvalidField, field=field):
        see(variant, member, **said)


def test_one_of_these_needs_two_different_candidates(variant, member):
    said = line(kind="one_of_these", variants=[variant, variant], n=1)
    with refused(InvalidField, field="count_lines[0].variants", says=["two or more"]):
        see(variant, member, **said)


def test_none_known_names_no_variant(variant, member):
    with refused(InvalidField, field="count_lines[0].variants", says=["no variant"]):
        see(variant, member, **line(kind="none_known", variants=[variant], n=1))


def test_a_variant_of_another_release_is_not_one_item_of_this(variant, member):
    other = VariantFactory()
    with refused(InvalidField, field="count_lines[0].variants", says=[other.public_id]):
        see(variant, member, scope="item", **line(variants=[other], n=1))


def test_a_sealed_pack_may_hold_variants_of_several_releases(variant, member):
    other = VariantFactory()
    lines = [{"variants": [variant], "n": 1}, {"variants": [other], "n": 1}]
    assert see(variant, member, scope="sealed_pack", count_lines=lines).count_lines.count() == 2


def test_a_variant_that_is_gone_is_not_seen(variant, member):
    Variant.objects.filter(pk=variant.pk).update(standing="struck")
    gone = Variant.objects.get(pk=variant.pk)
    with refused(IdentityMoved, field="count_lines[0].variants"):
        see(gone, member)


def test_an_example_is_one_item_of_the_release(variant, member):
    example = ExampleFactory(release=variant.release)
    elsewhere = ExampleFactory()
    assert see(variant, member, scope="item", example=example).example == example
    with refused(InvalidField, field="scope", says=["one item"]):
        see(variant, member, scope="peg", example=example)
    with refused(InvalidField, field="example", says=[elsewhere.public_id]):
        see(variant, member, scope="item", example=elsewhere)


def test_a_pack_version_is_one_of_its_pack(variant, member):
    moderator = Scene().moderator
    pack, other = PackFactory(), PackFactory()
    version = actions.add_pack_version(by=moderator, at=now(), pack=other, name="second card")
    with refused(InvalidField, field="pack_version", says=["second card"]):
        see(variant, member, pack=pack, pack_version=version)


def test_only_adopted_traits_could_be_seen(variant, member):
    trait = TraitFactory(line=variant.release.line)
    with refused(InvalidField, field="traits_seen", says=[trait.name]):
        see(variant, member, traits_seen=[trait])


def test_a_sighting_of_a_merged_release_is_one_of_the_survivor(member):
    scene = Scene()
    into = ReleaseFactory(line=scene.release.line, casting=scene.release.casting)
    actions.merge(thing=scene.release, into=into, by=scene.moderator, at=now())
    merged = Release.objects.get(pk=scene.release.pk)
    sighting = actions.report_sighting(
        by=member,
        at=NOON,
        release=merged,
        scope="peg",
        seen_on=TODAY,
        count_lines=[{"kind": "none_known", "n": 1}],
    )
    assert sighting.release_id == into.pk


# Full counts and what counts once -------------------------------------------------------------------------------


def full(variant, by, *lines, **said):
    return see(variant, by, is_full_count=True, count_lines=list(lines), **said)


def test_what_could_not_be_told_is_a_number_without_a_variant(variant, member):
    unclear = {"kind": "could_not_tell", "n": 3}
    assert full(variant, member, unclear, total=3).count_lines.get().kind == "could_not_tell"
    with refused(InvalidField, field="count_lines[0].variants", says=["no variant"]):
        full(variant, member, unclear | {"variants": [variant]})


def test_a_full_count_that_does_not_add_up_is_refused_with_both_numbers(variant, member):
    lines = [{"variants": [variant], "n": 40}, {"kind": "could_not_tell", "n": 3}]
    with refused(InvalidField, field="total", says=["72", "43", "could not tell"]):
        full(variant, member, *lines, total=72)
    assert full(variant, member, *lines, total=43).total == 43


def test_no_difference_means_that_all_that_were_told_are_of_one_kind(variant, member):
    one = {"variants": [variant], "n": 40}
    kept = full(
        variant, member, one, {"kind": "could_not_tell", "n": 2}, no_difference=True, cases_compared=2
    )
    assert (kept.no_difference, kept.cases_compared) == (True, 2)
    other = VariantFactory(release=variant.release)
    for more in (
        {"kind": "none_known", "n": 1},
        {"kind": "one_of_these", "variants": [variant, other], "n": 1},
    ):
        with refused(InvalidField, field="no_difference", says=["one kind"]):
            full(variant, member, one, more, no_difference=True)
    with refused(InvalidField, field="no_difference"):
        full(variant, member, {"kind": "could_not_tell", "n": 2}, no_difference=True)


def test_the_same_item_reported_twice_by_one_member_counts_once(variant, member):
    example = ExampleFactory(release=variant.release)
    first = see(variant, member, scope="item", example=example)
    with refused(TwinExists, field="example", says=[first.shown_id]) as caught:
        see(variant, member, scope="item", example=example, seen_on=date(2026, 5, 2))
    assert caught.value.extra == {"sighting": first.public_id}
    assert see(variant, MemberFactory(), scope="item", example=example).pk != first.pk
    actions.withdraw_sighting(sighting=first, by=member, at=now())
    assert see(variant, member, scope="item", example=example).pk != first.pk


def test_an_own_key_used_again_is_the_sighting_there_is(variant, member):
    first = see(variant, member, key="shelf 7")
    assert see(variant, member, key="shelf 7").pk == first.pk
    assert see(variant, MemberFactory(), key="shelf 7").pk != first.pk
    assert Sighting.objects.count() == 2
