"""Merging castings, releases and packs: everything inside moves over, and what both hold is kept once."""

import pytest

from registry import actions
from registry.errors import InvalidField
from registry.models import (
    CabinetItem,
    Casting,
    Claim,
    Example,
    PackContent,
    PackVersion,
    Release,
    Sighting,
    Submission,
    Variant,
)
from tests.factories import (
    AssortmentItemFactory,
    CabinetItemFactory,
    CastingFactory,
    ExampleFactory,
    LineFactory,
    ModeratorFactory,
    PackContentFactory,
    PackFactory,
    ReleaseFactory,
    SightingFactory,
    TraitFactory,
)
from tests.path import Scene, claim_on, now

from .watching import refused

pytestmark = pytest.mark.django_db


def merge(thing, into):
    return actions.merge(thing=thing, into=into, by=ModeratorFactory(), at=now())


def test_a_casting_gives_its_traits_releases_and_drafts_to_the_survivor():
    scene = Scene()
    survivor, old = CastingFactory(maker=scene.release.line.maker), scene.release.casting
    winch = TraitFactory(line=None, casting=old)
    scene.draft()
    merge(old, survivor)
    winch.refresh_from_db()
    assert winch.casting == survivor
    assert Release.objects.get(pk=scene.release.pk).casting == survivor
    assert Submission.objects.get().casting == survivor
    assert Casting.objects.get(pk=old.pk).survivor == survivor


def test_the_records_of_a_merged_casting_name_the_survivor():
    scene = Scene()
    variant = scene.report(scene.anchor)
    survivor = CastingFactory(maker=scene.release.line.maker)
    merge(scene.release.casting, survivor)
    variant.refresh_from_db()
    assert f'"casting":"{survivor.public_id}"' in variant.record


def test_castings_of_two_makers_are_not_merged():
    casting, other, by = CastingFactory(), CastingFactory(), ModeratorFactory()
    with refused(InvalidField, field="into", says=[str(casting.maker)]):
        actions.merge(thing=casting, into=other, by=by, at=now())


def test_castings_with_a_trait_of_one_key_wait_for_its_merge():
    casting, by = CastingFactory(), ModeratorFactory()
    other = CastingFactory(maker=casting.maker)
    TraitFactory(line=None, casting=casting, key="winch", name="Winch")
    TraitFactory(line=None, casting=other, key="winch")
    with refused(InvalidField, field="casting", says=["Winch", "Merge it first"]):
        actions.merge(thing=casting, into=other, by=by, at=now())


def test_castings_with_the_same_release_merge_after_their_releases():
    known, by = ReleaseFactory(), ModeratorFactory()
    same = {"line": known.line, "name": known.name, "number": known.number}
    twin = ReleaseFactory(casting__maker=known.line.maker, **same)
    with refused(InvalidField, field="casting", says=[known.name, "Merge the releases first"]):
        actions.merge(thing=twin.casting, into=known.casting, by=by, at=now())
    merge(twin, known)
    merge(twin.casting, known.casting)
    assert Casting.objects.get(pk=twin.casting_id).survivor == known.casting


def test_a_release_gives_everything_inside_to_the_survivor():
    scene = Scene()
    variant = scene.report(scene.anchor)
    survivor = ReleaseFactory(line=scene.release.line, casting=scene.release.casting)
    ExampleFactory(release=scene.release)
    SightingFactory(release=scene.release)
    CabinetItemFactory(release=scene.release)
    merge(scene.release, survivor)
    for model in (Variant, Example, Sighting, CabinetItem, Submission):
        assert {row.release_id for row in model.objects.all()} == {survivor.pk}, model.__name__
    variant.refresh_from_db()
    assert f'"release":"{survivor.public_id}"' in variant.record
    assert scene.crest in [adoption.trait for adoption in survivor.adoptions.all()]


def test_what_both_releases_hold_is_kept_once():
    scene = Scene()
    survivor = ReleaseFactory(line=scene.release.line, casting=scene.release.casting)
    TraitFactory(line=scene.release.line, key="winch", adopted_by=survivor)
    survivor.adoptions.create(trait=scene.crest, note="kept")
    for factory, other in ((PackContentFactory, "pack"), (AssortmentItemFactory, "assortment")):
        held = factory(release=scene.release)
        factory(release=survivor, **{other: getattr(held, other)})
    merge(scene.release, survivor)
    assert survivor.adoptions.get(trait=scene.crest).note == "kept"
    assert (survivor.pack_contents.count(), survivor.assortment_items.count()) == (1, 1)


def test_variants_of_merged_releases_are_judged_together():
    scene, other = Scene(), None
    first = scene.baseline()
    other = ReleaseFactory(line=scene.release.line, casting=scene.release.casting)
    for trait in (scene.crest, scene.stripe):
        other.adoptions.create(trait=trait)
    kept, scene.release = scene.release, other
    second = scene.baseline()
    merge(other, kept)
    first.refresh_from_db()
    second.refresh_from_db()
    assert (first.standing, second.standing) == ("verified", "provisional")
    assert any("tells it from" in sentence for sentence in second.missing)


def test_releases_of_two_lines_are_not_merged():
    release, by = ReleaseFactory(), ModeratorFactory()
    other = ReleaseFactory(casting=release.casting, line=LineFactory(maker=release.line.maker))
    with refused(InvalidField, field="into", says=["same line"]):
        actions.merge(thing=release, into=other, by=by, at=now())


def test_a_pack_gives_its_releases_versions_and_sightings_to_the_survivor():
    moderator, survivor = ModeratorFactory(), PackFactory()
    old = PackFactory(line=survivor.line)
    shared, own = (ReleaseFactory(line=survivor.line) for _ in range(2))
    for pack, release, count in ((survivor, shared, 1), (old, shared, 1), (old, own, 2)):
        PackContentFactory(pack=pack, release=release, count=count)
    for pack, name in ((survivor, "first"), (old, "first"), (old, "second")):
        actions.add_pack_version(by=moderator, at=now(), pack=pack, name=name)
    SightingFactory(release=own, pack=old)
    merge(old, survivor)
    held = PackContent.objects.values_list("pack", "release", "count")
    assert set(held) == {(survivor.pk, shared.pk, 1), (survivor.pk, own.pk, 2)}
    assert set(PackVersion.objects.filter(pack=survivor).values_list("name", flat=True)) == {
        "first",
        "second",
    }
    assert Sighting.objects.get().pack == survivor


def test_packs_of_two_lines_are_not_merged():
    pack, other, by = PackFactory(), PackFactory(), ModeratorFactory()
    with refused(InvalidField, field="into", says=[str(pack.line)]):
        actions.merge(thing=pack, into=other, by=by, at=now())


def test_releases_with_two_traits_of_one_key_wait_for_their_merge():
    scene = Scene()
    other = ReleaseFactory(line=scene.release.line, casting=scene.release.casting)
    TraitFactory(line=None, casting=other.casting, key="crest", adopted_by=other)
    with refused(InvalidField, field="release", says=["crest", "Merge the two details first"]):
        actions.merge(thing=scene.release, into=other, by=scene.moderator, at=now())


def test_a_clear_pack_merged_into_a_carton_no_longer_asks_for_sealed_proof():
    scene = Scene()
    clear = PackContentFactory(release=scene.release).pack
    carton = PackContentFactory(release=scene.release, pack__is_see_through=False).pack
    variant = scene.report(scene.black)
    for _ in range(3):
        example = scene.example(condition="loose")
        scene.mark(claim_on(variant, scene.wheels), scene.photo(example, views=("rivets", "axles")), example)
    scene.vote(claim_on(variant, scene.wheels))
    assert Claim.objects.get(trait=scene.wheels).standing == "open"
    merge(clear, carton)
    assert Claim.objects.get(trait=scene.wheels).standing == "confirmed"
