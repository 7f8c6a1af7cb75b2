"""Two variants are one: the merged one's claims close, and what was said of them counts for the survivor."""

from __future__ import annotations

from datetime import datetime

from django.db.models import Max

from registry.errors import InvalidField, MergeCycle, WrongMoment
from registry.methods import reasons
from registry.models import Claim, Dispute, JournalEntry, Member, ModeratorEventKind, Release, Variant, Vote
from registry.queries.merging import Carried, How, merge_plan
from registry.sentences import Sentence

from ..admission import require_second
from ..dispute import opening_detail
from ..journalled import journalled
from ..revise import revise
from ..submit import claim_details
from .desk import Deed, conclude, deed, held, keep_event, keep_line, refuse_unless_live


@journalled
def merge_variants(
    *,
    variant: Variant,
    into: Variant,
    by: Member,
    at: datetime,
    reason: str,
    seconded_by: Member | None = None,
) -> Variant:
    """Merge one variant into another of its release; answers with the survivor.

    No claim is edited. Each open claim of the merged variant closes, and the survivor's claim of the same state takes
    its place; one without a counterpart opens anew on the survivor; one of another state becomes the rival in a
    dispute. Votes and marks count where their claims went, unless that member voted there later. What names the
    merged variant (reports, sightings, statements, cabinets) keeps its row and is read as of the survivor. Where
    either is listed and there are two moderators it takes both: see actions.two_persons, which asks and confirms.

    Errors: RoleRequired; SecondPersonNeeded; IdentityMoved where the variant is gone already; MergeCycle where `into`
    was itself merged into it; WrongMoment while a dispute stands in the way, naming it; InvalidField for another
    release.
    """
    doing = deed(by, at, reason, seconded_by)
    release, gone, kept, plan = planned(variant, into)
    if gone.is_listed or kept.is_listed:
        require_second(doing.by, doing.seconded_by, at)
    pairs, opened = carry(plan, kept, doing, release)
    keep_event(gone, ModeratorEventKind.MERGED, doing, into=kept, claims=pairs)
    revise(
        variant=kept,
        author=doing.by,
        reason=reasons.MERGED_INTO_IT.filled(title=gone.title, id=gone.shown_id),
        at=at,
    )
    said = {"claims": pairs, "opened": claim_details(release, opened)}
    keep_line(gone, "merged", doing, into=kept.public_id, **said)
    conclude(release, doing, gone, kept)
    return kept


def planned(variant: Variant, into: Variant) -> tuple[Release, Variant, Variant, list[Carried]]:
    """Both variants, locked, and what becomes of each claim. Errors: as merge_variants, but for who may."""
    release, gone, kept = pair(variant, into)
    plan = merge_plan(gone, kept)
    for carried in plan:
        if carried.blocked_by:
            raise WrongMoment(
                Sentence(
                    "A dispute (%(id)s) is open on %(claim)s. Let it end first, or close it.",
                    id=carried.blocked_by.shown_id,
                    claim=carried.claim,
                ),
                dispute=carried.blocked_by.public_id,
            )
    return release, gone, kept, plan


def pair(variant: Variant, into: Variant) -> tuple[Release, Variant, Variant]:
    """Both variants, locked; for one that was merged before, the survivor at the end of its merges."""
    release, (gone, named) = held(variant, into)
    refuse_unless_live(gone)
    if named.pk == gone.pk:
        raise InvalidField("into", named.public_id, Sentence("Choose another variant."))
    kept = held(named.survivor)[1][0]
    if kept.pk == gone.pk:
        raise MergeCycle(
            Sentence(
                "%(named)s was itself merged into %(gone)s. Restore it first, should it be the one to stay.",
                named=named,
                gone=gone,
            )
        )
    if kept.release_id != release.pk:
        raise InvalidField(
            "into", kept.public_id, Sentence("Choose a variant of %(release)s.", release=release)
        )
    refuse_unless_live(kept, "into")
    return release, gone, kept


def carry(
    plan: list[Carried], kept: Variant, doing: Deed, release: Release
) -> tuple[dict[str, str], list[Claim]]:
    """Close the claims. Answers which claim took the place of which, by public id (blank: none), and what opened."""
    pairs: dict[str, str] = {carried.claim.public_id: "" for carried in plan}
    opened: list[Claim] = []
    for carried in plan:
        carried.claim.closed_at = doing.at
        carried.claim.save(update_fields=["closed_at"])
        match carried.how:
            case How.JOINS:
                assert carried.other is not None
                pairs[carried.claim.public_id] = carried.other.public_id
            case How.OPENS:
                opened.append(successor(carried.claim, kept, doing, since_revision=kept.revision_number + 1))
                pairs[carried.claim.public_id] = opened[-1].public_id
            case How.RIVALS:
                assert carried.other is not None
                pairs[carried.claim.public_id] = rival(carried.claim, carried.other, doing, release).public_id
    return pairs, opened


def successor(claim: Claim, kept: Variant, doing: Deed, **said: object) -> Claim:
    """The claim anew on the survivor; those who may not vote on it are the same."""
    return Claim.objects.create(
        variant=kept,
        trait=claim.trait.survivor,
        state=claim.state.survivor,
        author=claim.author,
        submission=claim.submission,
        predecessor=claim,
        opened_at=doing.at,
        **said,
    )


def rival(claim: Claim, standing: Claim, doing: Deed, release: Release) -> Claim:
    """The two claims cannot both be so: a dispute between them lets the votes decide."""
    proposed = successor(
        claim,
        standing.variant,
        doing,
        is_rival=True,
        is_difference=standing.is_difference,
        base_claim=standing.base_claim,
    )
    dispute = Dispute.objects.create(
        claim=standing,
        rival=proposed,
        opened_by=doing.by,
        reason=f"{claim.variant.title}, merged into this one, was listed with {claim}.",
        opened_at=doing.at,
        after_vote=Vote.objects.aggregate(newest=Max("pk"))["newest"] or 0,
    )
    detail = opening_detail(dispute, release)
    JournalEntry.objects.record(by=doing.by, verb="dispute.opened", about=dispute, at=doing.at, detail=detail)
    return proposed
