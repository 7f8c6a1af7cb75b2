"""Bring the stored standings of a release in line with the facts. Every other action ends by calling this."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db.models import Q, QuerySet

from registry.errors import IdentityMoved
from registry.methods import queueing
from registry.methods.facts import ReleaseFacts, survivor
from registry.methods.policy import Policy
from registry.methods.standing import ReleaseStanding, decide
from registry.models import (
    DECIDED,
    GONE,
    WAITING,
    Claim,
    Dispute,
    Fit,
    FitAdoption,
    JournalEntry,
    ModeratorEvent,
    Outcome,
    Release,
    Variant,
)
from registry.queries.facts import (
    current_policy,
    last_events,
    last_survivors,
    merged_claims,
    release_facts,
)
from registry.queries.fits import reliabilities_of
from registry.queries.records import records_of, sealed_record

from .correct import close_as_upheld, correct
from .feed import tell_standings
from .journalled import journalled
from .kept import keep_contests, keep_standings
from .settle_statements import settle_statements

CLAIM_COLUMNS = (
    "standing",
    "missing",
    "posterior",
    "votes_counted",
    "examples_shown",
    "has_sealed_proof",
    "is_founding",
    "owners_counted",
    "needs_only_votes",
    "urgency",
    "was_founding",
)
VARIANT_COLUMNS = (
    "standing",
    "missing",
    "is_founding",
    "cause",
    "merged_into_id",
    "record",
    "record_digest",
    "changed_at",
)


@journalled
def settle_release(*, release: Release, at: datetime) -> list[dict[str, str]]:
    """Decide every standing of the release anew, close what the votes have decided, and keep the result.

    Returns what changed, as written to the journal: a list of {kind, id, from, to}. Settling twice changes nothing
    the second time. The caller's transaction holds the lock on the release from here on.
    """
    release = locked(release)
    changes: list[dict[str, str]] = []
    events, policy, fit = last_events(release), current_policy(), FitAdoption.objects.current_fit()
    keep_merges(release, events)
    facts, standing = judge(release, policy, fit)
    while due := first_due(release, standing):
        dispute, outcome = due
        (correct if outcome == Outcome.CORRECTED else close_as_upheld)(dispute=dispute, at=at)
        facts, standing = judge(release, policy, fit)
    changes += keep_claims(release, standing, policy)
    keep_contests(open_disputes(release), standing.disputes)
    changes += keep_variants(release, standing, events, at)
    changes += keep_founding(release, standing, facts.eligible_reviewers)
    changes += settle_statements(release, at, policy, facts.fit)
    detail: dict[str, Any] = {"changes": changes, **keep_fit(release, fit)}
    if changes or "fit" in detail:
        JournalEntry.objects.record(by=None, verb="release.settled", about=release, at=at, detail=detail)
    return changes


def locked(release: Release) -> Release:
    """The release row, locked: one writer at a time decides what its standings are.

    No key is locked, so that rows which only point at the release can be added meanwhile.
    """
    rows = Release.objects.select_for_update(of=("self",), no_key=True)
    rows = rows.select_related("casting__maker", "casting__merged_into", "line", "merged_into")
    kept = rows.get(pk=release.pk)
    # Merged while we waited: what was meant for it is meant for its survivor.
    return rows.get(pk=kept.merged_into_id) if kept.merged_into_id else kept


def refuse_gone(claim: Claim) -> None:
    """Errors: IdentityMoved when the claim's variant was merged, split or struck."""
    if Variant.objects.filter(pk=claim.variant_id, standing__in=GONE).exists():
        raise IdentityMoved(field="claim")


def judge(release: Release, policy: Policy, fit: Fit | None) -> tuple[ReleaseFacts, ReleaseStanding]:
    facts = release_facts(release, fit.number if fit else 0)
    return facts, decide(facts, policy, reliabilities_of(facts))


def open_disputes(release: Release) -> QuerySet[Dispute]:
    """Of claims; the oldest first."""
    return Dispute.objects.open().filter(claim__variant__release=release).order_by("pk")


def first_due(release: Release, standing: ReleaseStanding) -> tuple[Dispute, Outcome] | None:
    """The oldest open dispute that the votes have decided."""
    for dispute in open_disputes(release):
        due = standing.disputes[dispute.public_id].due
        if due:
            return dispute, Outcome(due)
    return None


def keep_claims(release: Release, standing: ReleaseStanding, policy: Policy) -> list[dict[str, str]]:
    def decided(claim: Claim) -> tuple[Any, ...]:
        now = standing.claims[claim.public_id]
        return (
            now.standing,
            list(now.missing),
            now.posterior,
            now.counted,
            now.examples,
            now.sealed,
            now.founding,
            now.owners,
            now.needs_only_votes,
            urgency_of(claim, standing, policy),
            now.founding or (claim.was_founding and now.standing not in DECIDED),
        )

    rows = Claim.objects.filter(variant__release=release).select_related("variant").order_by("pk")
    return keep_standings("claim", rows, CLAIM_COLUMNS, decided)


def urgency_of(claim: Claim, standing: ReleaseStanding, policy: Policy) -> int:
    """How early the review desk offers the claim; 0 where there is nothing left to decide."""
    now, variant = standing.claims[claim.public_id], standing.variants[claim.variant.public_id]
    if claim.closed_at or now.standing not in WAITING or variant.standing in GONE:
        return 0
    return queueing.urgency(
        queueing.Waiting(
            posterior=now.posterior,
            counted=now.counted,
            owners=now.owners,
            needs_only_votes=now.needs_only_votes,
            verifies=queueing.verifies(now.missing, variant.missing),
            again=claim.was_founding,
        ),
        policy,
    )


def keep_merges(release: Release, events: Mapping[int, ModeratorEvent]) -> None:
    """Each claim that a merge closed points straight at the last claim that took its place; no other does."""
    pairs = merged_claims(events.values())
    known = Claim.objects.filter(variant__release=release)
    told = known.filter(Q(public_id__in=pairs) | Q(merged_into__isnull=False)).select_related("merged_into")
    if not pairs and not told:
        return
    keys = dict(known.values_list("public_id", "pk"))
    for claim in told:
        last = keys[survivor(claim.public_id, pairs)] if claim.public_id in pairs else None
        if claim.merged_into_id != last:
            Claim.objects.filter(pk=claim.pk).update(merged_into=last)


def keep_variants(
    release: Release, standing: ReleaseStanding, events: Mapping[int, ModeratorEvent], at: datetime
) -> list[dict[str, str]]:
    """Standing, cause and canonical record of each variant; `changed_at` moves only when the record does."""
    variants = list(Variant.objects.filter(release=release).order_by("pk"))
    survivors = last_survivors(events)
    causes = dict(
        Claim.objects.open().on_cause().filter(variant__release=release).values_list("variant", "state__key")
    )
    was = {variant.pk: tuple(getattr(variant, column) for column in VARIANT_COLUMNS) for variant in variants}
    changes, moved = [], []
    for variant in variants:
        now = standing.variants[variant.public_id]
        if variant.standing != now.standing:
            moved.append(variant)
            changes.append(
                {"kind": "variant", "id": variant.public_id, "from": variant.standing, "to": now.standing}
            )
        variant.standing, variant.missing, variant.is_founding = now.standing, list(now.missing), now.founding
        variant.cause = causes.get(variant.pk, "")
        variant.merged_into_id = survivors.get(variant.pk)
    records = records_of(release, variants)
    for variant in variants:
        reseal(variant, records[variant.pk], at)
    changed = [v for v in variants if was[v.pk] != tuple(getattr(v, column) for column in VARIANT_COLUMNS)]
    Variant.objects.bulk_update(changed, VARIANT_COLUMNS)
    tell_standings(release, moved, at)
    return changes


def reseal(variant: Variant, document: dict[str, Any], at: datetime) -> None:
    """Keep the record; where it says what it said before, keep its time of change as well."""
    text, digest = sealed_record(document, variant.changed_at)
    if text != variant.record:
        variant.changed_at = at
        text, digest = sealed_record(document, at)
    variant.record, variant.record_digest = text, digest


def keep_founding(release: Release, standing: ReleaseStanding, eligible: int) -> list[dict[str, str]]:
    if (release.is_founding, release.eligible_reviewers) == (standing.founding, eligible):
        return []
    Release.objects.filter(pk=release.pk).update(is_founding=standing.founding, eligible_reviewers=eligible)
    if release.is_founding == standing.founding:
        return []
    words = {True: "founding", False: "full"}
    return [
        {
            "kind": "policy",
            "id": release.public_id,
            "from": words[release.is_founding],
            "to": words[standing.founding],
        }
    ]


def keep_fit(release: Release, fit: Fit | None) -> dict[str, Any]:
    """What the journal needs to know where the release is settled under another fit than before: which it is now."""
    if fit is None or release.settled_fit_id == fit.pk:
        return {}
    Release.objects.filter(pk=release.pk).update(settled_fit=fit)
    return {"release": release.public_id, "fit": fit.number}
