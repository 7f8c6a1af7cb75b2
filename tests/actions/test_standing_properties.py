"""What must hold of stored standings after any run of actions; one release, a verified first variant, then anything."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from registry import actions
from registry.errors import RegistryError
from registry.methods.facts import PRODUCTION_CAUSES
from registry.models import Claim, Dispute, Mark, Member, Photo, State, Trait, Variant, Vote
from tests.factories import MemberFactory
from tests.path import claim_on, now

from .yard import Yard, as_stored, by_journal

Step = Callable[[Yard], Any]
few = settings(max_examples=6, deadline=None)
numbers = st.integers(0, 30)
verdicts = st.sampled_from(["confirms", "confirms", "contradicts", "cannot_tell"])
bases = st.sampled_from(["photo", "own_sealed", "own_loose"])
causes = st.sampled_from(["running_change", "parallel", "factory_error", "altered", "drift"])


class NothingThere(LookupError):
    """A step has nothing to act on."""


def nth(rows: Any, n: int) -> Any:
    listed = list(rows.order_by("pk"))
    if not listed:
        raise NothingThere
    return listed[n % len(listed)]


def claims(yard: Yard) -> Any:
    return Claim.objects.votable().filter(variant__release=yard.release)


def vote(n: int, who: int, verdict: str, basis: str) -> Step:
    return lambda yard: actions.cast_vote(
        claim=nth(claims(yard), n), by=yard.reviewers[who % 6], verdict=verdict, basis=basis, at=now()
    )


def withdraw(n: int) -> Step:
    def step(yard: Yard) -> None:
        kept = nth(Vote.objects.current(), n)
        actions.withdraw_vote(claim=kept.claim, by=kept.by, at=now())

    return step


def dispute(n: int, state: int, who: int) -> Step:
    def step(yard: Yard) -> None:
        claim = nth(claims(yard).filter(is_rival=False), n)
        proposed = nth(State.objects.filter(trait=claim.trait), state)
        opener = (yard.reviewers + yard.collectors)[who % 9]
        actions.open_dispute(claim=claim, state=proposed, by=opener, reason="Another state.", at=now())

    return step


def withdraw_dispute(n: int) -> Step:
    def step(yard: Yard) -> None:
        kept = nth(Dispute.objects.open(), n)
        actions.withdraw_dispute(dispute=kept, by=kept.opened_by, at=now())

    return step


def close(n: int) -> Step:
    return lambda yard: yard.moderate("close_dispute", dispute=nth(Dispute.objects.open(), n), reason="No.")


def report(n: int, cause: str) -> Step:
    def step(yard: Yard) -> None:
        states = [yard.gull_states[n % 3], yard.wheel_states[n % 2]][: 1 + n % 2]
        base = Variant.objects.filter(release=yard.release).first()
        yard.report(*states, by=yard.collectors[n % 3], base=base, cause=cause)

    return step


def show(n: int, condition: str) -> Step:
    def step(yard: Yard) -> None:
        views = ("rivets", "axles") if condition == "loose" else ("seal_all_round",)
        variant = nth(Variant.objects.filter(release=yard.release), n)
        yard.show(variant, by=(yard.reviewers + yard.collectors)[n % 9], views=views, condition=condition)

    return step


def mark_rival(n: int) -> Step:
    def step(yard: Yard) -> None:
        rival = nth(claims(yard).filter(is_rival=True), n)
        mark = nth(Mark.objects.standing().filter(claim__variant=rival.variant), n)
        actions.mark_region(
            photo=mark.photo, example=mark.example, claim=rival, xywh=(0, 0, 9, 9), by=mark.by, at=now()
        )

    return step


def unmark(n: int) -> Step:
    return lambda yard: yard.moderate("remove_mark", mark=nth(Mark.objects.standing(), n), reason="No.")


def take_down(n: int) -> Step:
    return lambda yard: yard.moderate("take_down_photo", photo=nth(Photo.objects.shown(), n), reason="No.")


def link(one: int, other: int) -> Step:
    def step(yard: Yard) -> None:
        first, second = nth(Member.objects.all(), one), nth(Member.objects.all(), other)
        yard.moderate("declare_link", first=first, second=second)

    return step


def role(n: int, deed: str) -> Step:
    return lambda yard: yard.moderate(deed, member=yard.reviewers[n % 6], role="reviewer")


def rename(n: int) -> Step:
    return lambda yard: yard.moderate(
        "rename", thing=nth(Trait.objects.filter(line=yard.line), n), name=f"Detail {n}"
    )


voting = st.builds(vote, numbers, numbers, verdicts, bases)
showing = st.builds(show, numbers, st.sampled_from(["sealed", "loose"]))
STEPS = st.lists(
    st.one_of(
        voting, voting, showing,
        st.builds(withdraw, numbers), st.builds(dispute, numbers, numbers, numbers), st.builds(mark_rival, numbers),
        st.builds(withdraw_dispute, numbers), st.builds(close, numbers), st.builds(report, numbers, causes),
        st.builds(unmark, numbers), st.builds(take_down, numbers), st.builds(link, numbers, numbers),
        st.builds(role, numbers, st.sampled_from(["grant_role", "revoke_role"])), st.builds(rename, numbers),
    ),
    max_size=14,
)  # fmt: skip


def walk(steps: list[Step]) -> Yard:
    """A verified first variant, and then whatever comes; what is refused or has no object is passed over."""
    yard = Yard()
    yard.baseline()
    for step in steps:
        with suppress(RegistryError, NothingThere):
            step(yard)
    return yard


class AfterAnything(TestCase):
    @few
    @given(STEPS)
    def test_the_journal_gives_what_is_stored_and_settling_again_changes_nothing(
        self, steps: list[Step]
    ) -> None:
        yard = walk(steps)
        stored = as_stored(yard.release)
        assert by_journal(yard.release) == stored
        records = list(Variant.objects.order_by("pk").values_list("record", "changed_at"))
        assert actions.settle_release(release=yard.release, at=now()) == []
        assert as_stored(yard.release) == stored
        assert list(Variant.objects.order_by("pk").values_list("record", "changed_at")) == records

    @few
    @given(STEPS, numbers, numbers)
    def test_a_cannot_tell_never_moves_a_posterior(self, steps: list[Step], n: int, who: int) -> None:
        yard = walk(steps)
        claim, reviewer = nth(claims(yard), n), yard.reviewers[who % 6]
        Vote.objects.current().filter(by=reviewer).update(is_current=False, ended_at=now())
        actions.settle_release(release=yard.release, at=now())
        before = as_stored(yard.release)
        with suppress(RegistryError):
            actions.cast_vote(claim=claim, by=reviewer, verdict="cannot_tell", basis="photo", at=now())
        assert as_stored(yard.release) == before

    @few
    @given(STEPS, numbers, numbers, verdicts)
    def test_a_vote_taken_back_restores_the_standing_unless_a_dispute_closed(
        self, steps: list[Step], n: int, who: int, verdict: str
    ) -> None:
        yard = walk(steps)
        claim, reviewer = nth(claims(yard), n), yard.reviewers[who % 6]
        Vote.objects.current().filter(by=reviewer, claim=claim).update(is_current=False, ended_at=now())
        actions.settle_release(release=yard.release, at=now())
        before, disputes = as_stored(yard.release), Dispute.objects.open().count()
        with suppress(RegistryError):
            actions.cast_vote(claim=claim, by=reviewer, verdict=verdict, basis="photo", at=now())
            actions.withdraw_vote(claim=claim, by=reviewer, at=now())
        assert as_stored(yard.release) == before or Dispute.objects.open().count() < disputes

    @few
    @given(STEPS, numbers)
    def test_a_new_provisional_sibling_never_changes_another_variant(self, steps: list[Step], n: int) -> None:
        yard = walk(steps)
        before = as_stored(yard.release)["variants"]
        with suppress(RegistryError):
            report(n, "running_change")(yard)
        after = as_stored(yard.release)["variants"]
        assert {name: after[name] for name in before} == before

    @few
    @given(STEPS)
    def test_what_is_confirmed_is_proven_and_other_causes_set_apart(self, steps: list[Step]) -> None:
        yard = walk(steps)
        for claim in Claim.objects.open().filter(variant__release=yard.release, standing="confirmed"):
            cause, standing = claim.trait.is_cause, claim.variant.standing
            assert cause or claim.examples_shown >= 1
            assert not claim.trait.alterable or claim.has_sealed_proof or loose_owners(claim) >= 3
            if cause and claim.state.key not in PRODUCTION_CAUSES | {"baseline"}:
                assert standing == "set_apart"


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
