"""Moderators' additions to the catalogue: whole, once, and refused by name where they make no sense."""

from datetime import date, timedelta

import pytest

from registry import actions
from registry.errors import InTheFuture, InvalidField, TwinExists
from registry.models import Release, SearchEntry
from tests.factories import (
    NOON,
    AssortmentFactory,
    CastingFactory,
    LineFactory,
    MakerFactory,
    ModeratorFactory,
    PackFactory,
    ReleaseFactory,
    TraitFactory,
)
from tests.path import Scene, claim_on

from .watching import refused

pytestmark = pytest.mark.django_db


@pytest.fixture
def release():
    return ReleaseFactory()


@pytest.fixture
def moderator():
    return ModeratorFactory()


def issue(release, by, **said):
    whole = {"casting": release.casting, "line": release.line, "name": "Low water", "year": 2026, **said}
    return actions.add_release(by=by, at=NOON, **whole)


def box(release, by, **said):
    whole = {"line": release.line, "name": "Card", "kind": "single_card", "contents": {release: 1}, **said}
    return actions.add_pack(by=by, at=NOON, **whole)


def test_what_is_added_is_found_by_its_words(release, moderator):
    added = issue(release, moderator, number="Q64-900", livery="tar black", nicknames=["the tub"])
    words = SearchEntry.objects.get(public_id=added.public_id).words
    assert {"low", "water", "q64-900", "2026", "tar", "tub"} <= set(words.split())


def test_a_release_adopts_the_checks_of_its_line_or_just_those_named(release, moderator):
    crest, winch = TraitFactory(line=release.line), TraitFactory(line=None, casting=release.casting)
    TraitFactory(line=release.line, acceptance="merged", merged_into=crest)
    whole, chosen = issue(release, moderator), issue(release, moderator, name="Ebb", adopts=[winch])
    assert [adoption.trait for adoption in whole.adoptions.all()] == [crest]
    assert [adoption.trait for adoption in chosen.adoptions.all()] == [winch]


def test_one_name_in_another_livery_is_another_release(release, moderator):
    issue(release, moderator, livery="red")
    issue(release, moderator, livery="blue")
    assert Release.objects.filter(name="Low water").count() == 2


def test_the_same_release_again_is_refused_and_named(release, moderator):
    first = issue(release, moderator)
    with refused(TwinExists, field="name", says=["LOW water", "Low water"]) as caught:
        issue(release, moderator, name="LOW  water")
    assert caught.value.extra == {"twin": first.public_id}


@pytest.mark.parametrize(
    ("action", "known"),
    [("add_maker", MakerFactory), ("add_line", LineFactory), ("add_casting", CastingFactory)],
)
def test_a_name_that_is_taken_is_refused(moderator, action, known):
    twin = known(name="Otterholm")
    said = {"add_maker": {}, "add_line": {"scale": 64}, "add_casting": {}}[action]
    maker = {} if action == "add_maker" else {"maker": twin.maker}
    with refused(TwinExists, field="name") as caught:
        getattr(actions, action)(by=moderator, at=NOON, name="otterholm", **said, **maker)
    assert caught.value.extra == {"twin": twin.public_id}


@pytest.mark.parametrize(
    ("said", "field"),
    [({"name": ""}, "name"), ({"name": "a\x00b"}, "name"), ({"name": "x" * 121}, "name"), ({"year": 1899}, "year"),
     ({"year": 2028}, "year"), ({"year": "2026"}, "year"), ({"year": True}, "year"), ({"number": 7}, "number"),
     ({"livery": "x" * 121}, "livery"), ({"nicknames": "tub"}, "nicknames")],
)  # fmt: skip
def test_a_release_that_makes_no_sense_is_refused(release, moderator, said, field):
    with refused(InvalidField, field=field):
        issue(release, moderator, **said)


def test_a_casting_is_released_in_a_line_of_its_maker(release, moderator):
    line = LineFactory()
    with refused(InvalidField, field="line", says=[line.name]):
        issue(release, moderator, line=line)


@pytest.mark.parametrize(
    ("action", "said", "field"),
    [("add_line", {"name": "Dock", "scale": 0}, "scale"), ("add_line", {"name": "Dock", "scale": 1001}, "scale"),
     ("add_casting", {"name": "Foghorn", "wheelbase_um": 0}, "wheelbase_um"),
     ("add_casting", {"name": "Foghorn", "wheelbase_um": "38"}, "wheelbase_um")],
)  # fmt: skip
def test_a_measure_out_of_range_is_refused(release, moderator, action, said, field):
    with refused(InvalidField, field=field):
        getattr(actions, action)(by=moderator, at=NOON, maker=release.line.maker, **said)


# Assortments, packs, availability ---------------------------------------------------------------------------------


def test_an_assortment_keeps_the_count_per_case_where_known(release, moderator):
    other = ReleaseFactory(line=release.line, casting=release.casting)
    assortment = actions.add_assortment(
        by=moderator, at=NOON, line=release.line, name="Spring tide", items={release: 4, other: None}
    )
    assert sorted(assortment.items.values_list("per_case", flat=True), key=str) == [4, None]


def test_an_assortment_is_listed_once(moderator):
    known = AssortmentFactory()
    with refused(InvalidField, field="name", says=[known.name]):
        actions.add_assortment(
            by=moderator, at=NOON, line=known.line, name=known.name, case_code=known.case_code
        )


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"opens_on": date(2026, 2, 2), "closes_on": date(2026, 2, 1)}, "closes_on"),
        ({"case_count": 0}, "case_count"),
    ],
)
def test_an_assortment_that_makes_no_sense_is_refused(release, moderator, said, field):
    with refused(InvalidField, field=field):
        actions.add_assortment(by=moderator, at=NOON, line=release.line, name="Neap", **said)


@pytest.mark.parametrize("per_case", [0, -1, 100_000, "4"])
def test_a_count_per_case_that_makes_no_sense_is_refused(release, moderator, per_case):
    with refused(InvalidField, field="items", says=[repr(per_case)]):
        actions.add_assortment(
            by=moderator, at=NOON, line=release.line, name="Neap", items={release: per_case}
        )


@pytest.mark.parametrize("code", ["9520000000004", "952000000000-4", "09520000000004"])
def test_a_gtin_is_kept_with_14_digits(release, moderator, code):
    assert box(release, moderator, gtin_code=code).gtin == "09520000000004"


@pytest.mark.parametrize("code", ["9520000000005", "123", "95200000000O4", "9" * 15])
def test_a_gtin_with_a_wrong_check_digit_or_length_is_refused(release, moderator, code):
    with refused(InvalidField, field="gtin", says=[code[:10]]):
        box(release, moderator, gtin_code=code)


def test_one_gtin_may_cover_several_packs(release, moderator):
    box(release, moderator, gtin_code="9520000000004")
    assert box(release, moderator, name="Other card", gtin_code="9520000000004").gtin == "09520000000004"


@pytest.mark.parametrize(
    ("said", "field"), [({"kind": "crate"}, "kind"), ({"name": " "}, "name"), ({"name": None}, "name")]
)
def test_a_pack_that_makes_no_sense_is_refused(release, moderator, said, field):
    with refused(InvalidField, field=field):
        box(release, moderator, **said)


def test_a_pack_without_any_of_a_release_is_refused(release, moderator):
    with refused(InvalidField, field="contents", says=["0"]):
        box(release, moderator, contents={release: 0})


def test_a_clear_sealed_pack_asks_for_sealed_proof_again():
    scene = Scene()
    variant = scene.report(scene.black)
    for _ in range(3):
        example = scene.example(condition="loose")
        photo = scene.photo(example, views=("rivets", "axles"))
        scene.mark(claim_on(variant, scene.wheels), photo, example)
    scene.vote(claim_on(variant, scene.wheels))
    assert claim_on(variant, scene.wheels).standing == "confirmed"
    box(scene.release, scene.moderator)
    assert claim_on(variant, scene.wheels).standing == "open"
    actions.mark_sealed_unobtainable(by=scene.moderator, at=NOON, release=scene.release)
    assert claim_on(variant, scene.wheels).standing == "confirmed"


def test_a_pack_version_is_listed_once(moderator):
    pack = PackFactory()
    actions.add_pack_version(by=moderator, at=NOON, pack=pack, name="second card", language="Dutch")
    with refused(InvalidField, field="name", says=["second card"]):
        actions.add_pack_version(by=moderator, at=NOON, pack=pack, name=" second  card ")


def available(by, **said):
    return actions.add_availability(
        by=by,
        at=NOON,
        **{"region": "NL", "kind": "on_sale", "on": NOON.date(), "source": "a leaflet", **said},
    )


def test_availability_is_of_one_release_or_one_pack(release, moderator):
    pack = PackFactory()
    assert available(moderator, release=release).release == release
    assert available(moderator, pack=pack).pack == pack
    for said in ({}, {"release": release, "pack": pack}):
        with refused(InvalidField, field="release", says=["exactly one"]):
            available(moderator, **said)


def test_only_what_is_announced_may_lie_in_the_future(release, moderator):
    later = NOON.date() + timedelta(days=90)
    assert available(moderator, release=release, kind="announced", on=later).on == later
    with refused(InTheFuture, field="on", says=[later.isoformat()]):
        available(moderator, release=release, on=later)


@pytest.mark.parametrize(
    ("said", "field"),
    [({"kind": "rumoured"}, "kind"), ({"source": ""}, "source"), ({"region": ""}, "region")],
)
def test_availability_has_a_kind_a_region_and_a_source(release, moderator, said, field):
    with refused(InvalidField, field=field):
        available(moderator, release=release, **said)
