"""A variant as a page: its claims with what shows them, who voted, what is disputed, how it came to be."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field

from registry.models import (
    Claim,
    CountLine,
    Dispute,
    Mark,
    Member,
    Revision,
    Variant,
    Verdict,
)

from .blind import seen_by
from .gloss import ShownGloss, gloss_for
from .measured import Shown, measured_for
from .votes import tallies


@dataclass
class ClaimOnPage:
    claim: Claim
    marks: list[Mark] = field(default_factory=list)
    tally: dict[str, int] | None = None
    """Counted votes by verdict; None where the reader has to vote first."""
    dispute: Dispute | None = None
    measured: list[Shown] = field(default_factory=list)
    gloss: list[ShownGloss] = field(default_factory=list)


@dataclass
class VariantPage:
    variant: Variant
    claims: list[ClaimOnPage]
    rivals: list[ClaimOnPage]
    revisions: list[Revision]
    disputes: list[Dispute]
    count_lines: list[CountLine]


@dataclass(frozen=True)
class Change:
    """One readable difference between two revisions: what, from, to."""

    what: str
    before: str
    after: str


def variant_page(variant: Variant, reader: Member | None = None) -> VariantPage:
    """Everything a variant's page shows to this reader. Queries: at most 10, whatever the size."""
    claims = list(
        Claim.objects.votable()
        .filter(variant=variant)
        .annotate(may_see_votes=seen_by(reader))
        .select_related(
            "trait__merged_into", "state__merged_into", "author", "base_claim__state", "base_claim__variant"
        )
        .order_by("-is_difference", "trait__place", "pk")
    )
    on_page = {claim.pk: ClaimOnPage(claim) for claim in claims}
    marks = Mark.objects.standing().on(claims).select_related("photo__owner", "example__owner")
    for mark in marks.order_by("pk"):
        on_page[mark.shown_claim].marks.append(mark)
    for claim_pk, measured in measured_for(claims).items():
        on_page[claim_pk].measured = measured
    for claim_pk, gloss in gloss_for([claim for claim in claims if claim.trait.survivor.is_finish]).items():
        on_page[claim_pk].gloss = gloss
    for claim_pk, tally in tallies([claim for claim in claims if claim.may_see_votes]).items():
        on_page[claim_pk].tally = tally
    disputes = list(
        Dispute.objects.filter(claim__variant=variant)
        .select_related("claim__trait", "claim__state", "rival__state", "opened_by", "closed_by")
        .order_by("-pk")
    )
    for dispute in disputes:
        if dispute.closed_at is None and dispute.claim_id in on_page:
            on_page[dispute.claim_id].dispute = dispute
            on_page[dispute.rival_id].dispute = dispute  # type: ignore[index]
    lines = CountLine.objects.naming(variant).filter(sighting__withdrawn_at=None)
    return VariantPage(
        variant=variant,
        claims=[entry for entry in on_page.values() if not entry.claim.is_rival],
        rivals=[entry for entry in on_page.values() if entry.claim.is_rival],
        revisions=list(variant.revisions.select_related("author").order_by("-number")),
        disputes=disputes,
        count_lines=list(lines.select_related("sighting__pack").order_by("-sighting__seen_on", "-pk")[:50]),
    )


def differences(before: Revision, after: Revision) -> list[Change]:
    """What changed from one revision to another, in words. Queries: 1."""
    ids = {*before.claims, *after.claims}
    kept = Claim.objects.filter(public_id__in=ids).select_related("trait__merged_into", "state__merged_into")
    claims = {claim.public_id: claim for claim in kept}
    sides: dict[tuple[str, int], dict[str, str]] = defaultdict(dict)
    for side, revision in (("before", before), ("after", after)):
        for public_id in revision.claims:
            if claim := claims.get(public_id):
                trait = claim.trait.survivor
                sides[trait.name, trait.pk][side] = claim.state.survivor.name
    found = [
        Change(name, side.get("before", "not stated"), side.get("after", "not stated"))
        for (name, _), side in sorted(sides.items())
        if side.get("before") != side.get("after")
    ]
    if before.title != after.title:
        found.insert(0, Change("Title", before.title, after.title))
    if before.nicknames != after.nicknames:
        found.append(Change("Nicknames", ", ".join(before.nicknames), ", ".join(after.nicknames)))
    return found


def verdict_words(tally: dict[str, int]) -> str:
    """`2 confirm, 1 cannot tell`."""
    words = {
        Verdict.CONFIRMS: "confirm",
        Verdict.CONTRADICTS: "contradict",
        Verdict.CANNOT_TELL: "cannot tell",
    }
    return ", ".join(f"{tally[verdict]} {word}" for verdict, word in words.items() if tally.get(verdict))
