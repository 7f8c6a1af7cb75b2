"""What a report proposes is usable at once, asked about when its name is close, and verifies nothing until accepted."""

import pytest

from registry import actions
from registry.errors import InvalidField, NearTwin, TwinExists, UnknownReference
from registry.models import Acceptance, Casting, JournalEntry, Pack, Release, SearchEntry, State, Trait
from tests.factories import CastingFactory, LineFactory, PackContentFactory, TraitFactory
from tests.path import Scene, claim_on, now

from .watching import refused

pytestmark = pytest.mark.django_db


@pytest.fixture
def scene():
    return Scene()


def propose(scene, claims=None, **proposes):
    """A draft that says what the crest is and proposes the rest besides."""
    said = claims or [{"trait": scene.crest.public_id, "state": scene.anchor.public_id}]
    return scene.draft(claims=said, proposes=proposes)


def send(draft):
    return actions.send_submission(submission=draft, by=draft.author, at=now())


def new_release(scene, casting=None, **said):
    """A draft on a release that is not listed yet."""
    release = {"line": scene.release.line.public_id, "name": "Low water", "year": 2025, **said}
    claims = [{"trait": scene.crest.public_id, "state": scene.anchor.public_id}]
    return actions.start_draft(
        by=scene.author, at=now(), casting=casting or scene.release.casting,
        content={"claims": claims, "proposes": {"release": release}},
    )  # fmt: skip


def test_a_trait_with_its_state_is_used_in_the_very_report_that_proposes_it(scene):
    traits = [{"ref": "t", "name": "Winch", "place": "front", "kind": "part"}]
    states = [{"ref": "s", "trait": "ref:t", "name": "drum winch"}]
    draft = propose(scene, claims=[{"trait": "ref:t", "state": "ref:s"}], traits=traits, states=states)
    variant = send(draft).variant
    trait, state = Trait.objects.get(name="Winch"), State.objects.get(name="drum winch")
    assert claim_on(variant, trait).state == state
    assert (trait.acceptance, trait.proposed_by, trait.alterable, trait.key) == (
        Acceptance.PROPOSED, scene.author, True, "winch",
    )  # fmt: skip
    assert (state.acceptance, state.proposed_by, state.key) == (
        Acceptance.PROPOSED,
        scene.author,
        "drum_winch",
    )
    assert trait.states.filter(is_built_in=True).count() == 1
    assert set(SearchEntry.objects.values_list("public_id", flat=True)) >= {trait.public_id, state.public_id}


def test_each_proposal_has_a_journal_line_of_its_own(scene):
    pack = {"name": "Blister", "kind": "single_card"}
    states = [{"ref": "s", "trait": scene.crest.public_id, "name": "heron"}]
    send(propose(scene, states=states, pack=pack))
    verbs = JournalEntry.objects.filter(detail__accepted=False).order_by("pk").values_list("verb", flat=True)
    assert list(verbs) == ["pack.added", "state.added"]


def test_a_casting_a_release_and_a_pack_are_proposed_together(scene):
    maker = scene.release.line.maker
    proposes = {
        "casting": {"maker": maker.public_id, "name": "Foghorn", "what": "fire tender"},
        "release": {"line": scene.release.line.public_id, "name": "Foghorn, low tide", "year": 2026},
        "pack": {"name": "Tender card", "kind": "single_card", "gtin": "9520000000004"},
    }
    claims = [{"trait": scene.crest.public_id, "state": scene.anchor.public_id}]
    draft = actions.start_draft(by=scene.author, at=now(), content={"claims": claims, "proposes": proposes})
    sent = send(draft)
    casting, pack = Casting.objects.get(name="Foghorn"), Pack.objects.get()
    assert (sent.casting, sent.release.casting, list(pack.releases.all())) == (
        casting,
        casting,
        [sent.release],
    )
    assert {thing.acceptance for thing in (casting, sent.release, pack)} == {Acceptance.PROPOSED}
    assert scene.crest in [adoption.trait for adoption in sent.release.adoptions.all()]


def test_no_variant_is_verified_while_its_release_is_only_proposed(scene):
    sent = send(new_release(scene))
    scene.release = sent.release
    variant = scene.verify(sent.variant)
    assert variant.standing == "provisional"
    assert variant.missing == ["a moderator to accept the proposed release"]
    actions.accept(thing=sent.release, by=scene.moderator, at=now())
    variant.refresh_from_db()
    assert variant.standing == "verified"


def test_no_variant_is_verified_while_a_difference_is_only_proposed(scene):
    states = [{"ref": "s", "trait": scene.crest.public_id, "name": "heron"}]
    claims = [{"trait": scene.crest.public_id, "state": "ref:s"}]
    variant = scene.verify(send(propose(scene, claims=claims, states=states)).variant)
    assert (variant.standing, len(variant.missing)) == ("provisional", 1)
    assert "heron" in variant.missing[0]
    actions.accept(thing=State.objects.get(name="heron"), by=scene.moderator, at=now())
    variant.refresh_from_db()
    assert variant.standing == "verified"


# Names that are close ---------------------------------------------------------------------------------------------


def asked(draft, error, field, *words):
    with refused(error, field=field, says=words) as caught:
        send(draft)
    return caught.value


def test_a_near_twin_is_asked_about_and_taken_once_confirmed(scene):
    state = {"ref": "s", "trait": scene.crest.public_id, "name": "anchorr"}
    refusal = asked(
        propose(scene, states=[state]), NearTwin, "proposes.states.name", "anchorr", "'anchor'", "confirm"
    )
    assert (refusal.code, refusal.extra) == (
        "near-twin", {"twins": [{"id": scene.anchor.public_id, "name": "anchor"}]},
    )  # fmt: skip
    send(propose(scene, states=[{**state, "is_new": True}]))
    assert State.objects.filter(name="anchorr").exists()


def test_the_same_name_is_refused_even_when_confirmed(scene):
    state = {"ref": "s", "trait": scene.crest.public_id, "name": "ANCHOR", "is_new": True}
    refusal = asked(propose(scene, states=[state]), TwinExists, "proposes.states.name", "'anchor'")
    assert refusal.extra == {"twin": scene.anchor.public_id}


def test_a_trait_near_an_adopted_one_is_asked_about(scene):
    trait = {"ref": "t", "name": "Roof crests", "place": "roof", "kind": "print"}
    asked(propose(scene, traits=[trait]), NearTwin, "proposes.traits.name", "Roof crest")


def test_a_casting_near_a_known_one_of_the_maker_is_asked_about(scene):
    known = CastingFactory(maker=scene.release.line.maker, name="Kelp Runner")
    proposes = {"casting": {"maker": known.maker.public_id, "name": "Kelp Runer"}}
    draft = actions.start_draft(by=scene.author, at=now(), content={"proposes": {**proposes, "release": {}}})
    asked(draft, NearTwin, "proposes.casting.name", "Kelp Runner")


def test_a_pack_near_a_known_one_of_the_release_is_asked_about(scene):
    PackContentFactory(release=scene.release, pack__name="Harbour card")
    pack = {"name": "Harbour cards", "kind": "single_card"}
    asked(propose(scene, pack=pack), NearTwin, "proposes.pack.name", "Harbour card")


def test_one_name_in_another_livery_is_asked_about_and_then_taken(scene):
    known = scene.release
    said = {"name": known.name, "number": known.number, "year": known.year}
    asked(new_release(scene, **said, livery=known.livery, is_new=True), TwinExists, "proposes.release.name")
    asked(new_release(scene, **said, livery="tar black"), NearTwin, "proposes.release.name", known.name)
    assert send(new_release(scene, **said, livery="tar black", is_new=True)).release.livery == "tar black"


def test_the_same_name_in_another_year_is_another_release(scene):
    assert send(new_release(scene, name=scene.release.name, year=2026)).release != scene.release


# Proposals that make no sense -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("proposes", "error", "field"),
    [
        ("x", InvalidField, "proposes"),
        ({"maker": {"name": "Sluice"}}, InvalidField, "proposes"),
        ({"traits": "x"}, InvalidField, "proposes.traits"),
        ({"traits": [7]}, InvalidField, "proposes.traits"),
        ({"traits": [{"name": ""}]}, InvalidField, "proposes.traits.name"),
        ({"traits": [{"name": "Winch"}]}, InvalidField, "proposes.traits.kind"),
        ({"traits": [{"name": "Winch", "kind": "cause"}]}, InvalidField, "proposes.traits.kind"),
        ({"traits": [{"name": "Winch", "kind": "part", "place": "keel"}]}, InvalidField, "proposes.traits.place"),
        ({"traits": [{"ref": "t", "name": name, "kind": "part", "place": "front"} for name in ("Winch", "Crane")]},
         InvalidField, "proposes.traits.ref"),
        ({"states": [{"name": "heron"}]}, UnknownReference, "proposes.states.trait"),
        ({"states": [{"name": "heron", "trait": "ref:t"}]}, UnknownReference, "proposes.states.trait"),
        ({"pack": "x"}, InvalidField, "proposes.pack"),
        ({"pack": {"name": "Card", "kind": "crate"}}, InvalidField, "proposes.pack.kind"),
        ({"pack": {"name": "Card", "kind": "single_card", "gtin": "9520000000005"}}, InvalidField,
         "proposes.pack.gtin"),
    ],
)  # fmt: skip
def test_a_proposal_that_makes_no_sense_is_refused(scene, proposes, error, field):
    draft = scene.draft(
        claims=[{"trait": scene.crest.public_id, "state": scene.anchor.public_id}], proposes=proposes
    )
    with refused(error, field=field):
        send(draft)


@pytest.mark.parametrize(
    ("said", "error", "field"),
    [
        ({"line": "2222222222222"}, UnknownReference, "proposes.release.line"),
        ({"name": "a\u200b"}, InvalidField, "proposes.release.name"),
        ({"name": None}, InvalidField, "proposes.release.name"),
        ({"year": 2028}, InvalidField, "proposes.release.year"),
        ({"year": "2025"}, InvalidField, "proposes.release.year"),
        ({"year": 10**30}, InvalidField, "proposes.release.year"),
        ({"number": ["1"]}, InvalidField, "proposes.release.number"),
        ({"livery": "x" * 121}, InvalidField, "proposes.release.livery"),
    ],
)
def test_a_release_that_makes_no_sense_is_refused(scene, said, error, field):
    draft = new_release(scene, **said)
    with refused(error, field=field):
        send(draft)


@pytest.mark.parametrize("said", ["x", 7, ["x"], None])
def test_a_release_or_casting_that_is_no_object_is_refused(scene, said):
    for kind in ("release", "casting"):
        content = {"proposes": {"release": {}, kind: said}}
        draft = actions.start_draft(by=scene.author, at=now(), casting=scene.release.casting, content=content)
        with refused(InvalidField, field=f"proposes.{kind}"):
            send(draft)


def test_a_release_is_proposed_in_a_line_of_its_castings_maker(scene):
    line = LineFactory()
    draft = new_release(scene, line=line.public_id)
    with refused(InvalidField, field="proposes.release.line", says=[line.name]):
        send(draft)


def test_a_release_needs_a_casting(scene):
    content = {
        "proposes": {"release": {"line": scene.release.line.public_id, "name": "Low water", "year": 2025}}
    }
    draft = actions.start_draft(by=scene.author, at=now(), content=content)
    with refused(InvalidField, field="casting", says=["propose one"]):
        send(draft)


def test_a_state_of_the_cause_is_not_proposed(scene):
    cause = Trait.objects.get(key="cause", line=None)
    draft = propose(scene, states=[{"ref": "s", "trait": cause.public_id, "name": "sunshine"}])
    with refused(InvalidField, field="proposes.states.trait", says=["fixed"]):
        send(draft)


def test_a_proposed_key_steps_aside_for_one_that_is_taken(scene):
    TraitFactory(line=None, casting=scene.release.casting, key="winch", name="Old winch")
    trait = {"ref": "t", "name": "Winch!", "place": "front", "kind": "part", "is_new": True}
    send(propose(scene, traits=[trait]))
    assert Trait.objects.get(name="Winch!").key == "winch_2"


@pytest.mark.parametrize("name", ["日本", "64", "?!"])
def test_a_name_without_latin_letters_gets_a_key_all_the_same(scene, name):
    send(propose(scene, states=[{"ref": "s", "trait": scene.crest.public_id, "name": name}]))
    assert State.objects.get(name=name).key.startswith("x")
    assert Release.objects.count() == 1
