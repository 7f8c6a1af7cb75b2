"""Write the next immutable revision of a variant from its open claims."""

from __future__ import annotations

from datetime import datetime

from registry.methods.canon import canonical, whole_digest
from registry.models import Claim, Member, Revision, Variant


def revise(*, variant: Variant, author: Member | None, reason: str, at: datetime) -> Revision:
    """Snapshot the variant's open claims, title and nicknames under the next number.

    Called by other actions inside their transaction, which holds the lock on the release.
    """
    parent = Revision.objects.filter(variant=variant).order_by("-number").first()
    number = parent.number + 1 if parent else 1
    claims = sorted(Claim.objects.open().filter(variant=variant).values_list("public_id", flat=True))
    snapshot: dict[str, object] = {
        "variant": variant.public_id,
        "number": number,
        "claims": claims,
        "title": variant.title,
        "nicknames": sorted(variant.nicknames),
    }
    if parent:
        snapshot["parent"] = parent.digest
    revision = Revision(
        variant=variant,
        number=number,
        parent=parent,
        claims=claims,
        title=variant.title,
        nicknames=sorted(variant.nicknames),
        author=author,
        reason=reason[:300],
        at=at,
        digest=whole_digest(canonical(snapshot)),
    )
    revision.save()
    variant.revision_number = number
    variant.save(update_fields=["revision_number", "title", "nicknames"])
    return revision
