"""The same for what guards the votes: interests, hints, control answers, concerns, held disputes, deeds for two."""

from __future__ import annotations

from typing import Any

from registry import models as m
from tests import factories as f

NOON = f.NOON


def twice(make: Any, **fields: Any) -> None:
    make(**fields)
    make(**fields)


def interested(target: str, thing: Any) -> None:
    twice(f.InterestFactory, member=f.MemberFactory(), **{"release": None, target: thing})


def hint_twice() -> None:
    twice(m.AddressHint.objects.create, member=f.MemberFactory(), digest="d", seen_at=NOON)


def control_answer(**fields: Any) -> m.ControlAnswer:
    said = {"verdict": "confirms", "basis": "photo", "truth": True, "at": NOON, **fields}
    return m.ControlAnswer.objects.create(**{"member": f.MemberFactory(), "claim": f.ClaimFactory(), **said})


def control_answered_twice() -> None:
    twice(control_answer, member=f.MemberFactory(), claim=f.ClaimFactory())


def released_as_nothing() -> None:
    f.HeldDisputeFactory(outcome="released", decided_by=f.MemberFactory(), decided_at=NOON)


def declined_as_a_dispute() -> None:
    rival = f.ClaimFactory(is_rival=True, since_revision=None)
    dispute = m.Dispute.objects.create(
        claim=f.ClaimFactory(), rival=rival, opened_by=f.MemberFactory(), reason="No.", opened_at=NOON
    )
    f.HeldDisputeFactory(
        outcome="declined", decided_by=f.MemberFactory(), decided_at=NOON, released_as=dispute
    )


def deed_done_alone() -> None:
    by = f.ModeratorFactory()
    f.PendingDeedFactory(asked_by=by, outcome="done", decided_by=by, decided_at=NOON)


BROKEN_GUARDS = [
    ("interest_in_one_thing", lambda: f.InterestFactory(release=None)),
    ("interest_in_one_thing", lambda: f.InterestFactory(line=f.LineFactory())),
    ("interest_once_per_maker", lambda: interested("maker", f.MakerFactory())),
    ("interest_once_per_line", lambda: interested("line", f.LineFactory())),
    ("interest_once_per_casting", lambda: interested("casting", f.CastingFactory())),
    ("interest_once_per_release", lambda: interested("release", f.ReleaseFactory())),
    ("address_hint_once", hint_twice),
    ("control_answer_verdict_known", lambda: control_answer(verdict="perhaps")),
    ("control_answer_basis_known", lambda: control_answer(basis="hearsay")),
    ("control_answer_once", control_answered_twice),
    ("concern_kind_known", lambda: f.ConcernFactory(kind="gossip")),
    ("concern_outcome_known", lambda: f.ConcernFactory(
        outcome="x", closed_at=NOON, closed_by=f.MemberFactory())),
    ("concern_told_by_somebody", lambda: f.ConcernFactory(kind="told")),
    ("concern_told_by_somebody", lambda: f.ConcernFactory(told_by=f.MemberFactory())),
    ("concern_noted_once", lambda: twice(f.ConcernFactory, fingerprint="same")),
    ("concern_open_or_closed_by_somebody", lambda: f.ConcernFactory(outcome="unfounded", closed_at=NOON)),
    ("concern_open_or_closed_by_somebody", lambda: f.ConcernFactory(closed_at=NOON)),
    ("held_outcome_known", lambda: f.HeldDisputeFactory(
        outcome="x", decided_by=f.MemberFactory(), decided_at=NOON)),
    ("held_of_claim_or_statement", lambda: f.HeldDisputeFactory(statement=f.StatementFactory())),
    ("held_or_decided", lambda: f.HeldDisputeFactory(outcome="declined")),
    ("held_or_decided", lambda: f.HeldDisputeFactory(decided_at=NOON)),
    ("held_released_names_dispute", released_as_nothing),
    ("held_released_names_dispute", declined_as_a_dispute),
    ("deed_outcome_known", lambda: f.PendingDeedFactory(
        outcome="x", decided_by=f.MemberFactory(), decided_at=NOON)),
    ("deed_waiting_or_decided", lambda: f.PendingDeedFactory(outcome="declined")),
    ("deed_waiting_or_decided", lambda: f.PendingDeedFactory(decided_at=NOON)),
    ("deed_done_by_two", deed_done_alone),
    ("deed_expires_later", lambda: f.PendingDeedFactory(expires_at=NOON)),
]  # fmt: skip
