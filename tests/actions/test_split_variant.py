"""Splitting a variant: with a main part that keeps the id, or without; evidence goes where its example belongs."""

import pytest

from registry import actions
from registry.actions import Part
from registry.errors import IdentityMoved, InvalidField, RoleRequired
from registry.models import Claim, Mark, Revision, SearchEntry, Trait, Variant
from tests.path import claim_on, now

from .test_merge_variants import agrees, fresh, merged, restored
from .yard import Yard, as_stored

pytestmark = pytest.mark.django_db


def split(yard, variant, *parts, **said):
    return yard.moderate("split_variant", variant=variant, parts=parts, reason="Two kinds.", **said)


@pytest.fixture
def yard():
    return Yard()


@pytest.fixture
def mixed(yard):
    """A verified variant, of whose two examples the second turns out to have a blue stripe."""
    base = yard.baseline()
    return yard.verify(yard.report(yard.gull_states[1], base=base, cause="running_change"))


def second_example(yard):
    return yard.examples()[-1]


def test_a_main_part_keeps_its_id_its_claims_and_its_votes(yard, mixed):
    crest = claim_on(mixed, yard.crest)
    votes = crest.votes_counted
    (part,) = split(yard, mixed, Part("Blue stripe", [yard.stripe_states[1]], [second_example(yard)]))
    crest.refresh_from_db()
    assert (crest.is_open, crest.votes_counted, crest.examples_shown) == (True, votes, 1)
    assert fresh(mixed).standing == "provisional"  # one example is left to it
    assert (part.standing, part.split_from, part.title) == ("provisional", mixed, "Blue stripe")
    ours = {
        claim.trait.key: (claim.state.key, claim.is_difference, claim.votes_counted, claim.examples_shown)
        for claim in Claim.objects.open().filter(variant=part)
    }
    assert ours == {
        "crest": ("gull", True, 0, 1),
        "stripe": ("blue", True, 0, 0),
        "cause": ("running_change", False, 0, 0),
    }
    assert Revision.objects.get(variant=part).claims == sorted(
        Claim.objects.filter(variant=part).values_list("public_id", flat=True)
    )
    assert f'"split_out":["{part.public_id}"]' in fresh(mixed).record
    assert f'"split_from":"{mixed.public_id}"' in part.record
    assert SearchEntry.objects.filter(public_id=part.public_id).exists()
    assert agrees(yard)


def test_who_brought_a_claim_in_may_not_vote_on_it_in_a_part_either(yard, mixed):
    (part,) = split(yard, mixed, Part("Blue stripe", [yard.stripe_states[1]]))
    crest, stripe = claim_on(part, yard.crest), claim_on(part, yard.stripe)
    assert (crest.author, crest.submission) == (yard.collectors[0], claim_on(mixed, yard.crest).submission)
    assert (stripe.author, stripe.submission) == (yard.moderator, None)


def test_without_a_main_part_the_id_ends_and_names_its_successors(yard, mixed):
    red, blue = split(
        yard, mixed,
        Part("Red stripe", [yard.stripe_states[0]], yard.examples()[-2:-1]),
        Part("Blue stripe", [yard.stripe_states[1]], [second_example(yard)]),
        keeps=False,
    )  # fmt: skip
    whole = fresh(mixed)
    assert whole.standing == "split"
    assert (
        f'"successors":{sorted([red.public_id, blue.public_id])}'.replace("'", '"').replace(" ", "")
        in whole.record
    )
    assert [claim_on(part, yard.crest).examples_shown for part in (red, blue)] == [1, 1]
    assert not SearchEntry.objects.filter(public_id=mixed.public_id).exists()
    assert agrees(yard)
    with pytest.raises(IdentityMoved):
        actions.cast_vote(
            claim=claim_on(mixed, yard.crest),
            by=yard.reviewers[0],
            verdict="confirms",
            basis="photo",
            at=now(),
        )


def test_a_split_is_undone_by_restoring_and_merging_the_parts(yard, mixed):
    before = as_stored(yard.release)["variants"][mixed.public_id]
    red, blue = split(
        yard, mixed,
        Part("Red stripe", [yard.stripe_states[0]], yard.examples()[-2:-1]),
        Part("Blue stripe", [yard.stripe_states[1]], [second_example(yard)]),
        keeps=False,
    )  # fmt: skip
    restored(yard, mixed)
    assert as_stored(yard.release)["variants"][mixed.public_id] == before
    merged(yard, red, mixed)
    assert fresh(red).merged_into == mixed
    assert claim_on(mixed, yard.crest).examples_shown == 2
    assert agrees(yard)


def test_a_part_merged_back_gives_its_evidence_back(yard, mixed):
    example = second_example(yard)
    (part,) = split(yard, mixed, Part("Blue stripe", [yard.stripe_states[1]], [example]))
    assert not Mark.objects.standing().filter(claim__variant=mixed, example=example).exists()
    merged(yard, part, mixed)
    assert claim_on(mixed, yard.crest).examples_shown == 2
    assert claim_on(mixed, yard.stripe).state == yard.stripe_states[1]
    assert fresh(mixed).standing == "verified"
    assert agrees(yard)


@pytest.mark.parametrize("keeps", [True, False])
def test_a_baseline_hands_its_cause_on_only_where_it_ends_and_nothing_else_stands(yard, keeps):
    base = yard.baseline()
    parts = [Part("Chrome", [yard.wheel_states[1]]), Part("White", [yard.wheel_states[2]])]
    if keeps:
        claim = {"trait": yard.wheels.public_id, "state": yard.wheel_states[0].public_id}
        draft = actions.start_draft(
            by=yard.collectors[2], at=now(), variant=base, content={"claims": [claim]}
        )
        actions.send_submission(submission=draft, by=draft.author, at=now())
    chrome, white = split(yard, base, *parts, keeps=keeps)
    assert (fresh(chrome).cause, fresh(white).cause) == ("" if keeps else "baseline", "")
    assert claim_on(chrome, yard.wheels).is_difference
    assert not claim_on(chrome, yard.crest).is_difference
    assert agrees(yard)


def test_parts_that_nothing_tells_apart_are_refused(yard, mixed):
    blue = Part("Blue stripe", [yard.stripe_states[1]])
    example = second_example(yard)
    before = as_stored(yard.release)
    for parts, keeps in (
        ([], True),
        ([blue], False),
        ([blue, Part("Blue again", [yard.stripe_states[1]])], False),
        ([Part("No state", [])], True),
        ([Part("Gull", [yard.gull_states[1]])], True),
        ([Part("Two", yard.stripe_states[:2])], True),
        ([Part("", [yard.stripe_states[1]])], True),
        ([Part("Elsewhere", [Yard().gull_states[0]])], True),
        ([Part("A", [yard.gull_states[0]], [example]), Part("B", [yard.gull_states[2]], [example])], True),
    ):
        with pytest.raises(InvalidField):
            split(yard, mixed, *parts, keeps=keeps)
    with pytest.raises(RoleRequired):
        actions.split_variant(variant=mixed, parts=[blue], by=yard.reviewers[0], at=now(), reason="Two.")
    assert as_stored(yard.release) == before
    assert Variant.objects.filter(release=yard.release).count() == 2


def test_a_name_read_before_it_changed_is_not_what_the_journal_keeps(yard, mixed):
    state = yard.wheel_states[0]
    assert state.trait.name == "Wheels"
    yard.moderate("rename", thing=Trait.objects.get(pk=yard.wheels.pk), name="Hubs")
    split(yard, mixed, Part("White wheels", [state], [second_example(yard)]))
    assert agrees(yard)
