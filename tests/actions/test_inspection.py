"""Traits and states: immutable keys, measures in range, and adoption only where they belong."""

import pytest

from registry import actions
from registry.errors import InvalidField, TwinExists
from registry.models import DOES_NOT_APPLY, State, Trait
from tests.factories import (
    CastingFactory,
    LineFactory,
    MarkFactory,
    ModeratorFactory,
    ReleaseFactory,
    StateFactory,
    TraitFactory,
)
from tests.path import Scene, claim_on, now

from .watching import refused

pytestmark = pytest.mark.django_db


@pytest.fixture
def moderator():
    return ModeratorFactory()


def inspect(by, **said):
    whole = {"key": "winch", "name": "Winch", "place": "front", "kind": "part", "line": None, **said}
    return actions.add_trait(by=by, at=now(), **whole)


def value(by, trait, **said):
    return actions.add_state(by=by, at=now(), trait=trait, **{"key": "drum", "name": "drum", **said})


def test_a_trait_is_born_with_the_state_does_not_apply(moderator):
    trait = inspect(moderator, line=LineFactory())
    assert [(s.key, s.is_built_in) for s in trait.states.all()] == [(DOES_NOT_APPLY, True)]


def test_a_trait_is_of_exactly_one_line_or_casting(moderator):
    both = {"line": LineFactory(), "casting": CastingFactory()}
    for said in ({}, both):
        with refused(InvalidField, field="line", says=["exactly one"]):
            inspect(moderator, **said)


@pytest.mark.parametrize("key", ["", "Winch", "1winch", "win-ch", "x" * 41, None, "winsch\n", "wïnch"])
def test_a_key_of_another_form_is_refused(moderator, key):
    line, trait = LineFactory(), TraitFactory()
    with refused(InvalidField, field="key", says=["small letter"]):
        inspect(moderator, line=line, key=key)
    with refused(InvalidField, field="key", says=["small letter"]):
        value(moderator, trait, key=key)


def test_a_key_is_never_used_again_not_even_of_what_was_merged(moderator):
    line = LineFactory()
    kept = TraitFactory(line=line, key="kept")
    TraitFactory(line=line, key="winch", acceptance="merged", merged_into=kept)
    with refused(InvalidField, field="key", says=["never used again"]):
        inspect(moderator, line=line)


def test_a_key_may_be_used_in_another_line(moderator):
    TraitFactory(key="winch")
    assert inspect(moderator, line=LineFactory()).key == "winch"


def test_the_cause_is_built_in(moderator):
    line, cause = LineFactory(), Trait.objects.get(key="cause", line=None)
    with refused(InvalidField, field="kind", says=["built in"]):
        inspect(moderator, line=line, kind="cause")
    with refused(InvalidField, field="key", says=["taken"]):
        inspect(moderator, line=line, key="cause")
    with refused(InvalidField, field="trait", says=["fixed"]):
        value(moderator, cause)


@pytest.mark.parametrize(
    ("said", "field"),
    [({"place": "keel"}, "place"), ({"kind": "smell"}, "kind"), ({"name": ""}, "name"), ({"nicknames": 7}, "nicknames"),
     ({"how_to_inspect": "x" * 301}, "how_to_inspect")],
)  # fmt: skip
def test_a_trait_that_makes_no_sense_is_refused(moderator, said, field):
    line = LineFactory()
    with refused(InvalidField, field=field):
        inspect(moderator, line=line, **said)


def test_a_colour_and_a_number_are_kept_as_whole_numbers(moderator):
    trait = TraitFactory()
    colour = value(moderator, trait, lab=(3200, 150, -4200), lab_tolerance=300)
    number = value(moderator, trait, key="long", name="long", number=38_000, number_tolerance=50, unit="um")
    assert (colour.lab_l, colour.lab_a, colour.lab_b, colour.lab_tolerance) == (3200, 150, -4200, 300)
    assert (number.number, number.number_tolerance, number.unit) == (38_000, 50, "um")


@pytest.mark.parametrize(
    ("said", "field"),
    [({"lab": (10_001, 0, 0)}, "lab"), ({"lab": (-1, 0, 0)}, "lab"), ({"lab": (5000, 16_001, 0)}, "lab"),
     ({"lab": (5000, 0, 0), "lab_tolerance": -1}, "lab_tolerance"), ({"number": 5}, "unit"),
     ({"number": 10**13, "unit": "um"}, "number"), ({"number": "5", "unit": "um"}, "number"),
     ({"number": 5, "unit": "um", "number_tolerance": -1}, "number_tolerance"), ({"unit": "x" * 9}, "unit")],
)  # fmt: skip
def test_a_measure_that_makes_no_sense_is_refused(moderator, said, field):
    trait = TraitFactory()
    with refused(InvalidField, field=field):
        value(moderator, trait, **said)


def test_a_state_that_is_listed_under_another_key_is_refused(moderator):
    known = StateFactory(name="drum winch")
    with refused(TwinExists, field="name") as caught:
        value(moderator, known.trait, name="Drum Winch")
    assert caught.value.extra == {"twin": known.public_id}


def test_a_twin_that_was_merged_is_named_by_its_survivor(moderator):
    survivor = StateFactory(name="winch drum")
    StateFactory(trait=survivor.trait, name="drum", acceptance="merged", merged_into=survivor)
    with refused(TwinExists, field="name") as caught:
        value(moderator, survivor.trait)
    assert caught.value.extra == {"twin": survivor.public_id}


# Adoption ---------------------------------------------------------------------------------------------------------


def adopt(by, release, trait, **said):
    return actions.adopt_trait(by=by, at=now(), release=release, trait=trait, **said)


def test_a_release_may_say_otherwise_where_a_trait_is_seen(moderator):
    release = ReleaseFactory()
    trait = TraitFactory(line=release.line, seen_in_pack=True)
    assert adopt(moderator, release, trait).is_seen_in_pack
    adoption = adopt(moderator, release, trait, seen_in_pack=False, place="rear", note="under the crane")
    assert (adoption.is_seen_in_pack, adoption.place, adoption.note) == (False, "rear", "under the crane")
    assert release.adoptions.count() == 1


def test_a_trait_seen_in_no_pack_may_be_proved_by_three_loose_examples():
    scene = Scene()
    actions.add_pack(
        by=scene.moderator, at=now(), line=scene.release.line, name="Card", kind="single_card",
        contents={scene.release: 1},
    )  # fmt: skip
    variant = scene.report(scene.black)
    for _ in range(3):
        example = scene.example(condition="loose")
        scene.mark(claim_on(variant, scene.wheels), scene.photo(example, views=("rivets", "axles")), example)
    scene.vote(claim_on(variant, scene.wheels))
    assert claim_on(variant, scene.wheels).standing == "open"
    adopt(scene.moderator, scene.release, scene.wheels, seen_in_pack=False)
    assert claim_on(variant, scene.wheels).standing == "confirmed"


def test_a_trait_of_elsewhere_is_not_adopted(moderator):
    release, cause = ReleaseFactory(), Trait.objects.get(key="cause", line=None)
    elsewhere = TraitFactory()
    for trait in (elsewhere, cause, TraitFactory(line=None, casting=CastingFactory())):
        with refused(InvalidField, field="trait", says=[trait.name]):
            adopt(moderator, release, trait)


def test_two_traits_of_one_key_are_not_adopted(moderator):
    release = ReleaseFactory()
    TraitFactory(line=release.line, key="winch", adopted_by=release)
    other = TraitFactory(line=None, casting=release.casting, key="winch")
    with refused(InvalidField, field="trait", says=["winch"]):
        adopt(moderator, release, other)


# Fidelity, sample, drift ------------------------------------------------------------------------------------------


def test_a_comparison_with_a_full_size_subject_names_it_and_its_source(moderator):
    release = ReleaseFactory()
    state = StateFactory(trait=TraitFactory(line=release.line, adopted_by=release))
    said = {"by": moderator, "at": now(), "release": release, "state": state, "fidelity": "departs"}
    with refused(InvalidField, field="subject"):
        actions.set_fidelity(**said, source="a yard photograph")
    with refused(InvalidField, field="source"):
        actions.set_fidelity(**said, subject="a salt lorry")
    kept = actions.set_fidelity(**said, subject="a salt lorry", source="a yard photograph")
    assert (kept.fidelity, State.objects.get(pk=state.pk).release_states.count()) == ("departs", 1)


def test_a_sample_shows_that_state_on_that_release():
    scene = Scene()
    claim = claim_on(scene.report(scene.anchor), scene.crest)
    example = scene.example()
    scene.mark(claim, scene.photo(example), example)
    mark, elsewhere = claim.marks.get(), MarkFactory()
    said = {"by": scene.moderator, "at": now(), "release": scene.release}
    assert actions.set_sample(**said, state=scene.anchor, mark=mark).sample == mark
    for state, wrong in ((scene.gull, mark), (scene.anchor, elsewhere)):
        with refused(InvalidField, field="mark", says=[wrong.public_id]):
            actions.set_sample(**said, state=state, mark=wrong)


def test_a_trait_that_is_not_adopted_has_no_fidelity_and_no_drift(moderator):
    release, state = ReleaseFactory(), StateFactory()
    said = {"by": moderator, "at": now(), "release": release}
    with refused(InvalidField, field="state", says=[state.trait.name]):
        actions.set_fidelity(**said, state=state, fidelity="made_up_subject")
    with refused(InvalidField, field="trait", says=[state.trait.name]):
        actions.record_drift(**said, trait=state.trait, note="It wanders.", source="ten")


@pytest.mark.parametrize(
    "said", [{"low": 2, "high": 1, "unit": "gu"}, {"low": 1}, {"low": 1, "high": 2}, {"unit": "gu"}]
)
def test_a_range_is_whole_and_in_order(moderator, said):
    release, trait = ReleaseFactory(), TraitFactory()
    with refused(InvalidField, field="low", says=["low first"]):
        actions.record_drift(
            by=moderator, at=now(), release=release, trait=trait, note="It wanders.", source="ten", **said
        )
