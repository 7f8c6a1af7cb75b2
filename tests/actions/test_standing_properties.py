"""What must hold of stored standings after any run of actions; one release, a verified first variant, then anything."""

from __future__ import annotations

from contextlib import suppress
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from registry import actions
from registry.errors import RegistryError
from registry.methods.facts import PRODUCTION_CAUSES
from registry.models import GONE, Claim, Dispute, Mark, Variant, Vote
from tests.factories import MemberFactory
from tests.path import claim_on, now

from .walks import WALKS, bases, claims, nth, numbers, report, verdicts, walk
from .yard import Yard, as_stored, by_journal

few = settings(max_examples=6, deadline=None)


class AfterAnything(TestCase):
    @few
    @given(WALKS)
    def test_the_journal_gives_what_is_stored_and_settling_again_changes_nothing(
        self, way: tuple[Any, Any]
    ) -> None:
        yard = walk(way)
        stored = as_stored(yard.release)
        assert by_journal(yard.release) == stored
        records = list(Variant.objects.order_by("pk").values_list("record", "changed_at"))
        assert actions.settle_release(release=yard.release, at=now()) == []
        assert as_stored(yard.release) == stored
        assert list(Variant.objects.order_by("pk").values_list("record", "changed_at")) == records

    @few
    @given(WALKS, numbers, numbers)
    def test_a_cannot_tell_never_moves_a_posterior(self, way: tuple[Any, Any], n: int, who: int) -> None:
        yard = walk(way)
        claim, reviewer = nth(claims(yard), n), yard.reviewers[who % 6]
        Vote.objects.current().filter(by=reviewer).update(is_current=False, ended_at=now())
        actions.settle_release(release=yard.release, at=now())
        before = as_stored(yard.release)
        with suppress(RegistryError):
            actions.cast_vote(claim=claim, by=reviewer, verdict="cannot_tell", basis="photo", at=now())
        assert as_stored(yard.release) == before

    @few
    @given(WALKS, numbers, numbers, verdicts)
    def test_a_vote_taken_back_restores_the_standing_unless_a_dispute_closed(
        self, way: tuple[Any, Any], n: int, who: int, verdict: str
    ) -> None:
        yard = walk(way)
        claim, reviewer = nth(claims(yard), n), yard.reviewers[who % 6]
        Vote.objects.current().filter(by=reviewer, claim=claim).update(is_current=False, ended_at=now())
        actions.settle_release(release=yard.release, at=now())
        before, disputes = as_stored(yard.release), Dispute.objects.open().count()
        with suppress(RegistryError):
            actions.cast_vote(claim=claim, by=reviewer, verdict=verdict, basis="photo", at=now())
            actions.withdraw_vote(claim=claim, by=reviewer, at=now())
        assert as_stored(yard.release) == before or Dispute.objects.open().count() < disputes

    @few
    @given(WALKS, numbers)
    def test_a_new_provisional_sibling_never_changes_another_variant(
        self, way: tuple[Any, Any], n: int
    ) -> None:
        yard = walk(way)
        before = as_stored(yard.release)["variants"]
        with suppress(RegistryError):
            report(n, "running_change")(yard)
        after = as_stored(yard.release)["variants"]
        assert {name: after[name] for name in before} == before

    @few
    @given(WALKS)
    def test_what_is_confirmed_is_proven_and_other_causes_set_apart(self, way: tuple[Any, Any]) -> None:
        yard = walk(way)
        for claim in Claim.objects.open().filter(variant__release=yard.release, standing="confirmed"):
            cause, standing = claim.trait.is_cause, claim.variant.standing
            assert cause or claim.examples_shown >= 1
            assert not claim.trait.alterable or claim.has_sealed_proof or loose_owners(claim) >= 3
            if cause and claim.state.key not in PRODUCTION_CAUSES | {"baseline"}:
                assert standing == "set_apart" or standing in GONE


def loose_owners(claim: Claim) -> int:
    marks = Mark.objects.standing().filter(claim=claim, example__condition="loose")
    return marks.values("example__owner").distinct().count()


ballots = st.lists(
    st.tuples(st.integers(0, 5), st.integers(0, 1), verdicts, bases), max_size=10, unique_by=lambda b: b[:2]
)


class InAnyOrder(TestCase):
    @few
    @given(ballots, st.randoms(use_true_random=False))
    def test_the_order_of_votes_never_matters(self, ballots: list[Any], random: Any) -> None:
        yard = Yard()
        variant = yard.report(yard.gull_states[0], yard.stripe_states[0])
        yard.show(variant)
        yard.show(variant)
        outcomes = []
        for order in (ballots, random.sample(ballots, len(ballots))):
            Vote.objects.current().update(is_current=False, ended_at=now())
            for who, which, verdict, basis in order:
                claim = claim_on(variant, [yard.crest, yard.stripe][which])
                actions.cast_vote(claim=claim, by=yard.reviewers[who], verdict=verdict, basis=basis, at=now())
            actions.settle_release(release=yard.release, at=now())
            outcomes.append(as_stored(yard.release))
        assert outcomes[0] == outcomes[1]


class OneOwnerOrOneCase(TestCase):
    @few
    @given(st.integers(2, 4), st.booleans(), verdicts)
    def test_examples_of_one_owner_or_of_one_case_never_verify(
        self, examples: int, is_one_owner: bool, verdict: str
    ) -> None:
        yard = Yard()
        variant = yard.report(yard.gull_states[0])
        owner = MemberFactory()
        for _ in range(examples):
            if is_one_owner:
                yard.show(variant, by=owner)
            else:
                yard.show(variant, found_case="C-0117")
        yard.vote(claim_on(variant, yard.crest), voters=5)
        yard.vote(claim_on(variant, yard.crest), verdict=verdict, voters=1)
        variant.refresh_from_db()
        assert variant.standing == "provisional"
