"""What the journal keeps of claims that read otherwise after a change to their trait or state."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.db.models import QuerySet

from registry.models import Claim, State, Trait
from registry.queries.facts import claim_fact, seen_in_pack

RESTATED = (
    "id", "trait", "state", "is_open", "alterable", "seen_in_pack", "accepted", "trait_name", "state_name",
    "kind",
)  # fmt: skip


def claims_on(thing: Trait | State) -> QuerySet[Claim]:
    """All claims, open or closed, on the trait or of the state, or on what was merged into it."""
    return Claim.objects.on(thing) if isinstance(thing, Trait) else Claim.objects.of(thing)


def restated(claims: QuerySet[Claim]) -> list[dict[str, Any]]:
    """The claims as they read now: after an acceptance, a new name, another adoption or a merge."""
    related = (
        "variant__release",
        "author",
        "base_claim",
        "rival_in",
        "trait__merged_into",
        "state__merged_into",
    )
    seen: dict[int, Mapping[int, bool]] = {}
    entries = []
    for claim in claims.select_related(*related).order_by("pk"):
        release = claim.variant.release
        if release.pk not in seen:
            seen[release.pk] = seen_in_pack(release)
        fact = claim_fact(claim, seen[release.pk], frozenset())
        entries.append({name: getattr(fact, name) for name in RESTATED})
    return entries
