"""What waits for a moderator: proposed things, open disputes; and who holds which role."""

from __future__ import annotations

from dataclasses import dataclass

from registry.models import (
    Casting,
    Dispute,
    Edition,
    Member,
    Pack,
    Proposable,
    Release,
    RoleGrant,
    State,
    Trait,
    name_key,
)

KINDS: dict[str, tuple[type[Proposable], tuple[str, ...]]] = {
    "casting": (Casting, ("maker",)),
    "release": (Release, ("casting", "line")),
    "trait": (Trait, ("line", "casting")),
    "state": (State, ("trait",)),
    "pack": (Pack, ("line",)),
}
MOST = 100


@dataclass(frozen=True)
class ModerationPage:
    proposed: list[Proposable]
    disputes: list[Dispute]
    grants: list[RoleGrant]
    latest: Edition | None


def moderation_page() -> ModerationPage:
    """Oldest first. Queries: 8."""
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
