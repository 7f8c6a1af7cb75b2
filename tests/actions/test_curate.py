"""Accepting, renaming and merging: nothing that was published moves, nothing is left pointing at what gave way."""

import pytest

from registry import actions
from registry.errors import AlreadyClosed, InvalidField, TwinExists, WrongMoment
from registry.models import (
    Claim,
    Drift,
    Example,
    Release,
    Revision,
    SearchEntry,
    State,
    Trait,
)
from tests.factories import (
    CastingFactory,
    MemberFactory,
    PackFactory,
    ReleaseFactory,
    StateFactory,
    TraitFactory,
)
from tests.path import Scene, claim_on, now

from .watching import refused

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene():
    return Scene()


def curate(scene, action, **said):
    return getattr(actions, action)(by=scene.moderator, at=now(), **said)


def proposed(factory, **said):
    return factory(acceptance="proposed", **said)


def words(thing):
    return SearchEntry.objects.get(public_id=thing.public_id).words.split()


# Accept -----------------------------------------------------------------------------------------------------------


def test_a_trait_may_be_relaxed_on_accepting_it(scene):
    trait = proposed(TraitFactory, line=scene.release.line, alterable=True, adopted_by=scene.release)
    state = StateFactory(trait=trait)
    variant = scene.report(state)
    scene.show(variant)
    scene.show(variant)
    Example.objects.update(condition="loose")
    scene.vote(claim_on(variant, trait))
    assert claim_on(variant, trait).standing == "open"
    curate(scene, "accept", thing=trait, alterable=False)
    assert claim_on(variant, trait).standing == "confirmed"


def test_what_was_accepted_or_merged_is_not_accepted_again(scene):
    merged = StateFactory(trait=scene.crest, acceptance="merged", merged_into=scene.anchor)
    with refused(WrongMoment, says=["anchor", "already"]):
        curate(scene, "accept", thing=scene.anchor)
    with refused(AlreadyClosed, says=["anchor"]):
        curate(scene, "accept", thing=merged)


def test_accepting_a_state_reaches_claims_on_what_was_merged_into_it(scene):
    first, second = (proposed(StateFactory, trait=scene.crest) for _ in range(2))
    variant = scene.verify(scene.report(first))
    curate(scene, "merge", thing=first, into=second)
    variant.refresh_from_db()
    assert variant.standing == "provisional"
    curate(scene, "accept", thing=second)
    variant.refresh_from_db()
    assert variant.standing == "verified"


# Rename -----------------------------------------------------------------------------------------------------------


def test_a_new_name_moves_no_key_no_id_and_no_record(scene):
    variant = scene.report(scene.anchor)
    before = variant.record_digest
    state = curate(scene, "rename", thing=scene.anchor, name="fouled anchor", nicknames=["hook"])
    variant.refresh_from_db()
    assert (state.key, state.name, state.nicknames) == ("anchor", "fouled anchor", ["hook"])
    assert variant.record_digest == before


def test_sentences_on_what_is_missing_follow_a_new_name_at_once(scene):
    variant = scene.report(scene.anchor)
    curate(scene, "rename", thing=scene.crest, name="Roof badge")
    variant.refresh_from_db()
    assert any("roof badge" in sentence for sentence in variant.missing)
    assert not any("roof crest" in sentence for sentence in variant.missing)


def test_everything_that_is_found_by_a_name_follows_the_new_one(scene):
    variant = scene.report(scene.anchor)
    curate(scene, "rename", thing=scene.release.casting, name="Foghorn")
    assert "foghorn" in words(scene.release)
    assert "foghorn" in words(variant)
    curate(scene, "rename", thing=scene.crest, name="Badge")
    assert "badge" in words(scene.anchor)
    curate(scene, "rename", thing=Release.objects.get(), name="Slack tide", number="Q7")
    assert {"slack", "q7"} <= set(words(variant))


@pytest.mark.parametrize(
    ("factory", "texts"),
    [(CastingFactory, {"what": "pump lorry", "subject": "a lorry"}), (ReleaseFactory, {"livery": "tar", "number": "1"}),
     (TraitFactory, {"how_to_inspect": "from above", "nicknames": ["badge"]}), (StateFactory, {"nicknames": ["hook"]}),
     (PackFactory, {})],
)  # fmt: skip
def test_other_texts_change_with_the_name(scene, factory, texts):
    kept = curate(scene, "rename", thing=factory(), name="Another name", **texts)
    assert {field: getattr(kept, field) for field in texts} == texts
    assert kept.name == "Another name"


@pytest.mark.parametrize("field", ["key", "public_id", "acceptance", "id", "alterable", "merged_into"])
def test_T25_what_is_no_text_is_not_changed(scene, field):
    with refused(InvalidField, field=field, says=["no such text"]):
        curate(scene, "rename", thing=scene.crest, **{field: "x"})


@pytest.mark.parametrize("name", ["", "a\x00", "x" * 81, 7])
def test_a_name_that_cannot_be_shown_is_refused(scene, name):
    with refused(InvalidField, field="name"):
        curate(scene, "rename", thing=scene.crest, name=name)


def test_a_name_that_a_sibling_has_is_refused(scene):
    with refused(TwinExists, field="name") as caught:
        curate(scene, "rename", thing=scene.anchor, name="GULL")
    assert caught.value.extra == {"twin": scene.gull.public_id}


def test_a_release_does_not_become_its_twin_by_another_number(scene):
    known = scene.release
    twin = ReleaseFactory(line=known.line, casting=known.casting, name=known.name, number="other")
    with refused(TwinExists, field="name") as caught:
        curate(scene, "rename", thing=twin, number=known.number)
    assert caught.value.extra == {"twin": known.public_id}


def test_what_was_merged_is_not_renamed(scene):
    merged = StateFactory(trait=scene.crest, acceptance="merged", merged_into=scene.anchor)
    with refused(AlreadyClosed):
        curate(scene, "rename", thing=merged, name="hook")


# Merge ------------------------------------------------------------------------------------------------------------


def test_a_merge_leads_every_reader_to_the_last_survivor(scene):
    first, second, third = (StateFactory(trait=scene.crest) for _ in range(3))
    curate(scene, "merge", thing=first, into=second)
    curate(scene, "merge", thing=second, into=third)
    first.refresh_from_db()
    assert first.survivor == third
    assert not SearchEntry.objects.filter(public_id=first.public_id).exists()


def test_claims_keep_their_rows_and_read_as_the_survivor(scene):
    base = scene.report(scene.anchor)
    claim = claim_on(base, scene.crest)
    heron = StateFactory(trait=scene.crest, key="heron")
    curate(scene, "merge", thing=scene.anchor, into=heron)
    base.refresh_from_db()
    claim.refresh_from_db()
    assert claim.state == scene.anchor
    assert '"state":"heron"' in base.record
    assert Revision.objects.filter(variant=base).count() == 1


def test_T45_a_thing_is_not_merged_into_itself_or_back_again(scene):
    with refused(InvalidField, field="into"):
        curate(scene, "merge", thing=scene.anchor, into=scene.anchor)
    curate(scene, "merge", thing=scene.anchor, into=scene.gull)
    with refused(AlreadyClosed):
        curate(scene, "merge", thing=scene.gull, into=scene.anchor)
    with refused(AlreadyClosed):
        curate(scene, "merge", thing=scene.anchor, into=scene.gull)


@pytest.mark.parametrize(("one", "other"), [("anchor", "red"), ("anchor", "crest"), ("crest", "anchor")])
def test_only_likes_are_merged(scene, one, other):
    with refused(InvalidField, field="into"):
        curate(scene, "merge", thing=getattr(scene, one), into=getattr(scene, other))


def test_the_built_in_stay(scene):
    cause = Trait.objects.get(key="cause", line=None)
    altered = State.objects.get(trait=cause, key="altered")
    with refused(InvalidField, field="trait", says=["built in"]):
        curate(scene, "merge", thing=cause, into=scene.crest)
    with refused(InvalidField, field="trait", says=["built in"]):
        curate(scene, "merge", thing=scene.crest, into=cause)
    with refused(InvalidField, field="state", says=["Built-in"]):
        curate(scene, "merge", thing=altered, into=State.objects.get(trait=cause, key="drift"))


def test_states_that_a_dispute_is_open_between_wait_for_its_end(scene):
    variant = scene.report(scene.anchor)
    opened = actions.open_dispute(
        claim=claim_on(variant, scene.crest),
        state=scene.gull,
        by=scene.reviewers[0],
        reason="A gull.",
        at=now(),
    )
    with refused(InvalidField, field="state", says=[opened.shown_id]):
        curate(scene, "merge", thing=scene.gull, into=scene.anchor)


@pytest.fixture
def badge(scene):
    """Another trait of the release, with the states anchor and heron."""
    badge = TraitFactory(line=scene.release.line, key="badge", name="Badge", adopted_by=scene.release)
    scene.badge_anchor, scene.heron = (
        StateFactory(trait=badge, key=key, name=key) for key in ("anchor", "heron")
    )
    return badge


def test_states_of_one_key_become_one_and_others_move_over(scene, badge):
    curate(scene, "merge", thing=badge, into=scene.crest)
    scene.badge_anchor.refresh_from_db()
    scene.heron.refresh_from_db()
    assert scene.badge_anchor.survivor == scene.anchor
    assert scene.heron.trait == scene.crest
    assert not SearchEntry.objects.filter(public_id=scene.badge_anchor.public_id).exists()


def test_what_was_merged_into_a_state_before_follows_it(scene, badge):
    older = StateFactory(trait=badge, acceptance="merged", merged_into=scene.badge_anchor)
    curate(scene, "merge", thing=badge, into=scene.crest)
    older.refresh_from_db()
    assert older.survivor == scene.anchor


def test_adoption_and_drift_move_to_the_surviving_trait(scene, badge):
    scene.release.adoptions.filter(trait=badge).update(seen_in_pack=True, note="from above")
    scene.release.adoptions.filter(trait=scene.crest).delete()
    curate(
        scene, "record_drift", release=scene.release, trait=badge, note="It wanders.", source="ten compared"
    )
    curate(scene, "merge", thing=badge, into=scene.crest)
    adoption = scene.release.adoptions.get(trait=scene.crest)
    assert (adoption.seen_in_pack, adoption.note) == (True, "from above")
    assert Drift.objects.get().trait == scene.crest


def test_a_variant_that_claims_the_same_on_both_keeps_one_claim_in_a_new_revision(scene, badge):
    base = scene.report(scene.anchor)
    content = {"claims": [{"trait": badge.public_id, "state": scene.badge_anchor.public_id}]}
    draft = actions.start_draft(by=MemberFactory(), at=now(), variant=base, content=content)
    actions.send_submission(submission=draft, by=draft.author, at=now())
    curate(scene, "merge", thing=scene.crest, into=badge)
    left = Claim.objects.open().get(variant=base, is_difference=True)
    assert list(Claim.objects.open().on(badge).filter(variant=base)) == [left]
    latest = Revision.objects.filter(variant=base).latest("number")
    assert (latest.number, len(latest.claims)) == (3, 2)
    assert "Roof crest is Badge" in latest.reason


def test_a_variant_that_claims_the_two_differently_bars_the_merge(scene, badge):
    base = scene.report(scene.anchor, scene.heron)
    with refused(InvalidField, field="trait", says=[base.title, "Dispute first"]):
        curate(scene, "merge", thing=badge, into=scene.crest)


def test_a_trait_of_elsewhere_takes_nothing_over(scene, badge):
    elsewhere = TraitFactory()
    with refused(InvalidField, field="into", says=[scene.release.name]):
        curate(scene, "merge", thing=badge, into=elsewhere)


# A casting's wheelbase ---------------------------------------------------------------------------------------------


def test_a_wheelbase_is_set_with_or_without_a_name_and_of_castings_alone(scene):
    casting = CastingFactory(name="Foghorn")
    assert curate(scene, "rename", thing=casting, wheelbase_um=40_000).wheelbase_um == 40_000
    assert curate(scene, "rename", thing=casting, name="Fog horn").wheelbase_um == 40_000
    assert curate(scene, "rename", thing=casting, wheelbase_um=None).wheelbase_um is None
    for wrong in (0, 10**6 + 1, "40", 4.5, True):
        with refused(InvalidField, field="wheelbase_um"):
            curate(scene, "rename", thing=casting, wheelbase_um=wrong)
    with refused(InvalidField, field="wheelbase_um", says=["detail has no such text"]):
        curate(scene, "rename", thing=scene.crest, wheelbase_um=40_000)
