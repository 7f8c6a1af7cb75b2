"""What waits for a moderator: proposed things, open disputes; and who holds which role."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count

from registry.models import (
    Casting,
    Claim,
    Concern,
    Dispute,
    Edition,
    HeldDispute,
    Likeness,
    Member,
    Pack,
    PendingDeed,
    Proposable,
    Release,
    RoleGrant,
    State,
    Trait,
    name_key,
)

from .likenesses import lately_alike

KINDS: dict[str, tuple[type[Proposable], tuple[str, ...]]] = {
    "casting": (Casting, ("maker",)),
    "release": (Release, ("casting", "line")),
    "trait": (Trait, ("line", "casting")),
    "state": (State, ("trait",)),
    "pack": (Pack, ("line",)),
}
MOST = 100
HELD_RELATED = (
    "claim__trait__merged_into",
    "claim__state__merged_into",
    "claim__variant__release",
    "claim__author",
    "state",
    "statement__variant",
    "statement__other",
    "statement__author",
    "opened_by",
    "decided_by",
)


@dataclass(frozen=True)
class ModerationPage:
    proposed: list[Proposable]
    disputes: list[Dispute]
    grants: list[RoleGrant]
    deeds: list[PendingDeed]
    held: list[HeldDispute]
    concerns: list[Concern]
    alike: list[Likeness]
    latest: Edition | None


def moderation_page(at: datetime) -> ModerationPage:
    """Oldest first. Queries: 12."""
    proposed: list[Proposable] = []
    for model, related in KINDS.values():
        rows = model._default_manager.filter(acceptance="proposed").select_related("proposed_by", *related)
        proposed += list(rows.order_by("id")[:MOST])
    disputes = Dispute.objects.open().select_related(
        "claim__trait", "claim__state", "claim__variant", "rival__state", "opened_by"
    )
    grants = RoleGrant.objects.filter(revoked_at=None).select_related("member", "granted_by")
    return ModerationPage(
        proposed=proposed,
        disputes=list(disputes.order_by("id")[:MOST]),
        grants=list(grants.order_by("role", "member__display_name")),
        deeds=list(PendingDeed.objects.waiting(at).select_related("asked_by").order_by("id")[:MOST]),
        held=list(HeldDispute.objects.held().select_related(*HELD_RELATED).order_by("id")[:MOST]),
        concerns=list(
            Concern.objects.open()
            .annotate(how_many=Count("members"))
            .select_related("claim")
            .order_by("id")[:MOST]
        ),
        alike=lately_alike(),
        latest=Edition.objects.order_by("-number").first(),
    )


def proposed_thing(kind: str, public_id: str) -> Proposable | None:
    """A row of one of the kinds that can be proposed. Queries: 1."""
    if kind not in KINDS:
        return None
    model, related = KINDS[kind]
    return model._default_manager.filter(public_id=public_id).select_related("proposed_by", *related).first()


def member_called(name: str) -> Member | None:
    """By display name, whatever its capitals and spaces. Queries: 1."""
    return Member.objects.filter(name_key=name_key(name)).first()


@dataclass(frozen=True)
class ConcernPage:
    concern: Concern
    members: list[Member]
    claims: list[Claim]


def concern_page(concern: Concern) -> ConcernPage:
    """Who and what a concern is about. Queries: 2."""
    claims = Claim.objects.filter(public_id__in=concern.evidence.get("claims", []))
    related = ("trait__merged_into", "state__merged_into", "variant__release")
    return ConcernPage(
        concern,
        list(concern.members.order_by("pk")[:MOST]),
        list(claims.select_related(*related).order_by("pk")[:MOST]),
    )
