"""Merging variants: no claim is edited, what was said follows, and taking it back gives all of it back."""

from datetime import date

import pytest

from registry import actions
from registry.errors import IdentityMoved, InvalidField, MergeCycle, RoleRequired, WrongMoment
from registry.models import Claim, Dispute, JournalEntry, Revision, SearchEntry, Variant
from registry.queries import pages
from registry.queries.merging import merge_plan
from tests.factories import MemberFactory, ModeratorFactory
from tests.path import claim_on, now

from .yard import Yard, as_stored, by_journal

pytestmark = pytest.mark.django_db


def merged(yard, variant, into, **said):
    return yard.moderate("merge_variants", variant=variant, into=into, reason="One and the same.", **said)


def restored(yard, variant):
    return yard.moderate("restore_variant", variant=variant, reason="They differ after all.")


def fresh(variant):
    return Variant.objects.get(pk=variant.pk)


def agrees(yard):
    return by_journal(yard.release) == as_stored(yard.release)


def rows_of(variant):
    """What must be as before once a merge was taken back."""
    columns = ("public_id", "state", "standing", "posterior", "votes_counted", "examples_shown", "closed_at")
    return list(Claim.objects.filter(variant=variant, is_rival=False).order_by("pk").values_list(*columns))


@pytest.fixture
def yard():
    return Yard()


@pytest.fixture
def twins(yard):
    """A verified baseline, and two reports of one gull: the second says more, and was seen by another reviewer."""
    base = yard.baseline()
    first = yard.report(yard.gull_states[1], base=base, cause="running_change")
    second = yard.report(
        yard.gull_states[1], yard.wheel_states[1], base=yard_wheels(yard, base), by=yard.collectors[1]
    )
    return base, first, second


def yard_wheels(yard, base):
    """The base, with its wheels claimed, so that wheels can be a difference from it."""
    claim = {"trait": yard.wheels.public_id, "state": yard.wheel_states[0].public_id}
    draft = actions.start_draft(by=yard.collectors[2], at=now(), variant=base, content={"claims": [claim]})
    actions.send_submission(submission=draft, by=draft.author, at=now())
    return fresh(base)


def test_the_survivors_claim_takes_the_place_of_the_merged_one(yard, twins):
    _, first, second = twins
    yard.show(second)
    kept, gone = claim_on(first, yard.crest), claim_on(second, yard.crest)
    yard.vote(gone, voters=2)
    edited = Claim.objects.filter(pk=gone.pk).values("state", "author", "variant", "is_difference").get()
    survivor = merged(yard, second, first)
    gone, kept = Claim.objects.get(pk=gone.pk), Claim.objects.get(pk=kept.pk)
    assert survivor == first
    assert (gone.merged_into, gone.is_open) == (kept, False)
    assert (
        Claim.objects.filter(pk=gone.pk).values("state", "author", "variant", "is_difference").get() == edited
    )
    assert (kept.votes_counted, kept.examples_shown) == (2, 1)
    assert (fresh(second).standing, fresh(second).merged_into) == ("merged", first)
    assert fresh(first).revision_number == 2
    assert agrees(yard)


def test_a_claim_without_a_counterpart_opens_anew_and_names_its_predecessor(yard, twins):
    _, first, second = twins
    wheels = claim_on(second, yard.wheels)
    yard.show(second)
    merged(yard, second, first)
    anew = claim_on(first, yard.wheels)
    assert (anew.predecessor, anew.state, anew.is_difference) == (wheels, wheels.state, False)
    assert (anew.author, anew.submission, anew.examples_shown) == (wheels.author, wheels.submission, 1)
    assert anew.public_id in Revision.objects.get(variant=first, number=2).claims
    assert agrees(yard)


def test_of_two_votes_of_one_member_the_later_counts(yard, twins):
    _, first, second = twins
    here, there = claim_on(first, yard.crest), claim_on(second, yard.crest)
    voter, other = yard.reviewers[:2]
    said = {"basis": "photo", "at": now()}
    actions.cast_vote(claim=here, by=voter, verdict="contradicts", **said)
    actions.cast_vote(claim=there, by=voter, verdict="confirms", **said)
    actions.cast_vote(claim=there, by=other, verdict="confirms", **said)
    actions.cast_vote(claim=here, by=other, verdict="contradicts", **said)
    merged(yard, second, first)
    page = {entry.claim.pk: entry.tally for entry in pages.variant_page(fresh(first), reader=voter).claims}
    assert page[here.pk] == {"confirms": 1, "contradicts": 1}
    assert Claim.objects.get(pk=here.pk).votes_counted == 2
    assert agrees(yard)


def test_another_state_becomes_a_rival(yard):
    base = yard.baseline()
    first = yard.report(yard.gull_states[1], base=base)
    second = yard.report(yard.gull_states[2], base=base)
    yard.show(second)
    merged(yard, second, first)
    dispute = Dispute.objects.get()
    assert (dispute.claim, dispute.rival.state) == (claim_on(first, yard.crest), yard.gull_states[2])
    assert dispute.rival.predecessor.merged_into == dispute.rival
    assert dispute.contests
    assert claim_on(first, yard.crest).standing == "disputed"
    assert agrees(yard)
    yard.vote(dispute.rival, voters=3)
    dispute.refresh_from_db()
    assert (dispute.outcome, claim_on(first, yard.crest)) == ("corrected", dispute.rival)
    assert agrees(yard)
    restored(yard, second)
    assert claim_on(first, yard.crest).state == yard.gull_states[2]
    assert claim_on(second, yard.crest).examples_shown == 1
    assert claim_on(first, yard.crest).examples_shown == 0
    assert agrees(yard)


def test_what_was_said_joins_the_rival_of_a_dispute_that_is_open_already(yard):
    base = yard.baseline()
    first = yard.report(yard.gull_states[1], base=base)
    second = yard.report(yard.gull_states[2], base=base)
    yard.show(second)
    dispute = actions.open_dispute(
        claim=claim_on(first, yard.crest),
        state=yard.gull_states[2],
        by=yard.reviewers[0],
        reason="A heron.",
        at=now(),
    )
    assert not dispute.contests
    merged(yard, second, first)
    dispute.refresh_from_db()
    assert (Dispute.objects.count(), dispute.contests, dispute.rival.examples_shown) == (1, True, 1)
    assert agrees(yard)


@pytest.mark.parametrize("of_merged", [True, False])
def test_a_dispute_in_the_way_has_to_end_first(yard, of_merged):
    base = yard.baseline()
    first = yard.report(yard.gull_states[1], base=base)
    second = yard.report(yard.gull_states[2], base=base)
    claim = claim_on(second if of_merged else first, yard.crest)
    dispute = actions.open_dispute(
        claim=claim, state=yard.gull_states[0], by=yard.reviewers[0], reason="An anchor.", at=now()
    )
    before = as_stored(yard.release)
    with pytest.raises(WrongMoment) as caught:
        merged(yard, second, first)
    assert caught.value.extra == {"dispute": dispute.public_id}
    assert as_stored(yard.release) == before
    yard.moderate("close_dispute", dispute=dispute, reason="No anchor.")
    assert merged(yard, second, first) == first


def test_a_cause_is_not_carried_to_the_baseline(yard, twins):
    base, first, _ = twins
    yard.verify(first)
    crest = claim_on(base, yard.crest)
    merged(yard, first, base)
    causes = Claim.objects.votable().filter(variant=base, trait__key="cause")
    assert [claim.state.key for claim in causes] == ["baseline"]
    assert Dispute.objects.get().claim == crest
    assert agrees(yard)


def test_the_next_sent_variant_is_the_first_once_the_baseline_is_merged(yard, twins):
    base, first, _ = twins
    merged(yard, base, first)
    assert claim_on_cause(first).state.key == "running_change"
    cause = claim_on_cause(first)
    dispute = actions.open_dispute(
        claim=cause, state=baseline_of(cause), by=yard.reviewers[0], reason="The first now.", at=now()
    )
    assert dispute.rival.state.key == "baseline"
    assert agrees(yard)


def claim_on_cause(variant):
    return Claim.objects.open().get(variant=variant, trait__key="cause")


def baseline_of(cause):
    return cause.trait.states.get(key="baseline")


def test_taking_a_merge_back_gives_back_exactly_what_it_took(yard, twins):
    _, first, second = twins
    yard.show(first)
    yard.show(second)
    yard.vote(claim_on(first, yard.crest), voters=2)
    yard.vote(claim_on(second, yard.crest), voters=4)
    before = rows_of(first), rows_of(second)
    merged(yard, second, first)
    assert agrees(yard)
    anew = claim_on(first, yard.wheels)
    yard.vote(anew, voters=1)
    restored(yard, second)
    anew.refresh_from_db()
    assert not anew.is_open
    assert ([row for row in rows_of(first) if row[0] != anew.public_id], rows_of(second)) == before
    assert (fresh(second).standing, fresh(second).merged_into) == ("provisional", None)
    assert agrees(yard)


def test_a_chain_of_merges_points_straight_at_the_last_and_comes_apart_link_by_link(yard, twins):
    base, first, second = twins
    third = yard.report(yard.gull_states[1], yard.stripe_states[1], base=base, by=yard.collectors[2])
    yard.show(second)
    crest = claim_on(second, yard.crest)
    middle = claim_on(first, yard.crest)
    merged(yard, second, first)
    merged(yard, first, third)
    last = claim_on(third, yard.crest)
    crest.refresh_from_db()
    assert (fresh(second).merged_into, fresh(first).merged_into, crest.merged_into) == (third, third, last)
    assert claim_on(third, yard.wheels).predecessor.predecessor.variant == second
    assert last.examples_shown == 1
    assert agrees(yard)
    restored(yard, first)
    crest.refresh_from_db()
    assert (fresh(second).merged_into, crest.merged_into) == (first, middle)
    assert claim_on(first, yard.crest).examples_shown == 1
    assert agrees(yard)
    merged(yard, first, third)
    restored(yard, second)
    assert not Claim.objects.open().filter(variant=third, trait=yard.wheels).exists()
    assert agrees(yard)


def test_a_merge_into_what_was_merged_goes_to_the_last_survivor(yard, twins):
    base, first, second = twins
    third = yard.report(yard.gull_states[1], yard.stripe_states[1], base=base, by=yard.collectors[2])
    merged(yard, second, first)
    assert merged(yard, third, second) == first
    assert fresh(third).moderator_events.get().into == first


def test_a_merge_back_into_itself_is_a_circle(yard, twins):
    _, first, second = twins
    merged(yard, second, first)
    with pytest.raises(MergeCycle) as caught:
        merged(yard, first, second)
    assert caught.value.code == "merge-cycle"
    assert fresh(first).standing != "merged"


def test_what_cannot_be_merged_is_refused_whole(yard, twins):
    base, first, second = twins
    elsewhere = Yard().baseline()
    before = as_stored(yard.release)
    for into, error in ((first, InvalidField), (elsewhere, InvalidField)):
        with pytest.raises(error):
            merged(yard, first, into)
    with pytest.raises(RoleRequired):
        actions.merge_variants(variant=second, into=first, by=yard.reviewers[0], at=now(), reason="Same.")
    with pytest.raises(InvalidField, match="Another moderator"):
        merged(yard, second, first, seconded_by=yard.moderator)
    with pytest.raises(RoleRequired):
        merged(yard, second, first, seconded_by=yard.reviewers[0])
    with pytest.raises(WrongMoment):
        restored(yard, first)
    assert as_stored(yard.release) == before
    merged(yard, second, first)
    with pytest.raises(IdentityMoved) as caught:
        merged(yard, second, base)
    assert caught.value.extra == {"moved_to": first.public_id}


def test_who_stood_by_it_is_kept_and_what_it_is_found_by_follows(yard, twins):
    _, first, second = twins
    second_moderator = ModeratorFactory()
    merged(yard, second, first, seconded_by=second_moderator)
    line = JournalEntry.objects.get(verb="variant.merged")
    assert line.detail["seconded_by"] == second_moderator.public_id
    assert line.detail["into"] == first.public_id
    assert fresh(second).moderator_events.get().seconded_by == second_moderator
    assert not SearchEntry.objects.filter(public_id=second.public_id).exists()
    restored(yard, second)
    assert SearchEntry.objects.filter(public_id=second.public_id).exists()


def test_sightings_and_photographs_of_the_merged_one_are_read_as_of_the_survivor(yard, twins):
    _, first, second = twins
    photo = yard.show(second)
    actions.report_sighting(
        by=MemberFactory(), at=now(), release=yard.release, scope="peg", seen_on=date(2026, 5, 1),
        count_lines=[{"kind": "variant", "variants": [second], "n": 3}],
    )  # fmt: skip
    merged(yard, second, first)
    page = pages.variant_page(fresh(first))
    assert [line.n for line in page.count_lines] == [3]
    assert {mark.photo for entry in page.claims for mark in entry.marks} == {photo}
    assert photo.public_id in fresh(first).record
    restored(yard, second)
    assert pages.variant_page(fresh(first)).count_lines == []


def test_the_plan_says_beforehand_what_the_merge_does(yard, twins):
    _, first, second = twins
    plan = [(carried.claim.trait.key, carried.how.value) for carried in merge_plan(second, first)]
    assert plan == [("crest", "joins"), ("wheels", "opens")]
    plan = [(carried.claim.trait.key, carried.how.value) for carried in merge_plan(first, second)]
    assert plan == [("crest", "joins"), ("cause", "opens")]
