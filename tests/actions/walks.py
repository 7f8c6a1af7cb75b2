"""Walks through the registry: a beginning, and then a run of arbitrary actions of reviewers, collectors, moderators."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from typing import Any

from hypothesis import strategies as st

from registry import actions
from registry.actions import Part
from registry.errors import RegistryError
from registry.models import GONE, Claim, Dispute, Mark, Member, Photo, State, Trait, Variant, Vote
from tests.path import claim_on, now

from .yard import Yard

Step = Callable[[Yard], Any]
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
    why = {"reason": "Away."} if deed == "revoke_role" else {}
    return lambda yard: yard.moderate(deed, member=yard.reviewers[n % 6], role="reviewer", **why)


def rename(n: int) -> Step:
    return lambda yard: yard.moderate(
        "rename", thing=nth(Trait.objects.filter(line=yard.line), n), name=f"Detail {n}"
    )


def merge(n: int, into: int) -> Step:
    def step(yard: Yard) -> None:
        variants = Variant.objects.filter(release=yard.release)
        yard.moderate("merge_variants", variant=nth(variants, n), into=nth(variants, into), reason="One.")

    return step


def strike(n: int) -> Step:
    return lambda yard: yard.moderate(
        "strike_variant",
        variant=nth(Variant.objects.filter(release=yard.release), n),
        reason_code="hoax",
        reason="Painted.",
    )


def restore(n: int) -> Step:
    return lambda yard: yard.moderate(
        "restore_variant",
        variant=nth(Variant.objects.filter(release=yard.release, standing__in=GONE), n),
        reason="No.",
    )


def split(n: int, state: int, example: int, keeps: bool) -> Step:
    def step(yard: Yard) -> None:
        parts = [
            Part(f"Part {at}", [yard.wheel_states[(state + at) % 3]], yard.examples()[example + at :][:1])
            for at in range(2)
        ]
        variant = nth(Variant.objects.filter(release=yard.release), n)
        yard.moderate("split_variant", variant=variant, parts=parts, keeps=keeps, reason="Two kinds.")

    return step


voting = st.builds(vote, numbers, numbers, verdicts, bases)
showing = st.builds(show, numbers, st.sampled_from(["sealed", "loose"]))
STEPS = st.lists(
    st.one_of(
        voting, voting, showing,
        st.builds(withdraw, numbers), st.builds(dispute, numbers, numbers, numbers), st.builds(mark_rival, numbers),
        st.builds(withdraw_dispute, numbers), st.builds(close, numbers), st.builds(report, numbers, causes),
        st.builds(unmark, numbers), st.builds(take_down, numbers), st.builds(link, numbers, numbers),
        st.builds(role, numbers, st.sampled_from(["grant_role", "revoke_role"])), st.builds(rename, numbers),
        st.builds(merge, numbers, numbers), st.builds(merge, numbers, numbers), st.builds(strike, numbers),
        st.builds(restore, numbers), st.builds(split, numbers, numbers, numbers, st.booleans()),
    ),
    min_size=3,
    max_size=12,
)  # fmt: skip


def verified(yard: Yard) -> None:
    yard.baseline()


def contested(yard: Yard) -> None:
    """Verified, and disputed by a reviewer whom another follows; one more vote would correct it."""
    base = yard.baseline()
    opened = actions.open_dispute(
        claim=claim_on(base, yard.crest),
        state=yard.gull_states[1],
        by=yard.reviewers[5],
        reason="A gull.",
        at=now(),
    )
    mark = Mark.objects.filter(claim=opened.claim).first()
    actions.mark_region(
        photo=mark.photo, example=mark.example, claim=opened.rival, xywh=(0, 0, 9, 9), by=mark.by, at=now()
    )
    yard.vote(opened.rival, voters=4)


def set_apart(yard: Yard) -> None:
    """Verified, and beside it a factory error that was confirmed as one."""
    base = yard.baseline()
    yard.verify(yard.report(yard.gull_states[1], base=base, cause="factory_error"))


def merged(yard: Yard) -> None:
    """A gull that was verified and then merged into a heron: a dispute is open between the two."""
    base = yard.baseline()
    first = yard.verify(yard.report(yard.gull_states[1], base=base, cause="running_change"))
    second = yard.report(yard.gull_states[2], base=base, by=yard.collectors[1], cause="parallel")
    yard.show(second)
    yard.moderate("merge_variants", variant=first, into=second, reason="One and the same.")


WALKS = st.tuples(st.sampled_from([verified, contested, set_apart, merged]), STEPS)


def walk(way: tuple[Callable[[Yard], None], list[Step]]) -> Yard:
    """One of the beginnings, and then whatever comes; what is refused or has no object is passed over."""
    begin, steps = way
    yard = Yard()
    begin(yard)
    for step in steps:
        with suppress(RegistryError, NothingThere):
            step(yard)
    return yard
