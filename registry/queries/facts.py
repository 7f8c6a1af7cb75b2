"""All that bears on the standings of one release, gathered as plain values for the pure function.

A constant number of queries, and none whose answer grows with anything but the release itself.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import cast

from django.db.models import Exists, OuterRef, QuerySet, Subquery
from django.db.models.functions import Coalesce

from registry.methods import facts as f
from registry.methods.policy import Policy
from registry.models import (
    GONE,
    Adoption,
    Claim,
    Dispute,
    Example,
    Mark,
    ModeratorEvent,
    ModeratorEventKind,
    Outcome,
    PackContent,
    Photo,
    PhotoExample,
    Release,
    TraitKind,
    Variant,
    Vote,
)
from registry.models import Policy as StoredPolicy
from registry.models.nested import NestedRows

from .reviewers import declared_links, eligible_here

MARK = ("id", "public_id", "at", "claim__public_id", "example__public_id", "photo__public_id")


def current_policy() -> Policy:
    """The newest adopted policy."""
    return Policy.from_dict(StoredPolicy.objects.latest("version").numbers)


@dataclass(frozen=True)
class ReleaseRows:
    """The rows of one release that its standings are computed from, all but its votes; in order of their making."""

    release: Release
    variants: list[Variant]
    claims: list[Claim]
    disputes: list[Dispute]
    examples: list[Example]
    photos: list[Photo]
    marks: list[Mark]


def release_facts(release: Release, fit: int = 0) -> f.ReleaseFacts:
    """Facts of one release. `fit`: number of the fit to decide under, 0 for none."""
    rows = release_rows(Release.objects.filter(pk=release.pk), Claim.objects.all())
    return facts_of(rows, votes_of(rows.release), fit)


def release_rows(named: QuerySet[Release], claims: QuerySet[Claim]) -> ReleaseRows:
    """The rows of the release that `named` finds; its claims are read with what `claims` asks for besides. Queries: 6.

    Errors: Release.DoesNotExist.
    """
    release = judged(named).get()
    photos = photos_of(release)
    disputes = Dispute.objects.filter(claim__variant__release=release)
    return ReleaseRows(
        release=release,
        variants=variants_of(release),
        claims=claims_of(release, claims),
        disputes=list(disputes.select_related("claim", "rival", "opened_by").order_by("pk")),
        examples=list(Example.objects.filter(release=release).select_related("owner").order_by("pk")),
        photos=photos,
        marks=sorted((mark for photo in photos for mark in photo.marked), key=lambda mark: mark.pk),  # type: ignore[attr-defined]
    )


def facts_of(rows: ReleaseRows, votes: Iterable[Vote], fit: int = 0) -> f.ReleaseFacts:
    """The same as plain values. Queries: 1."""
    release, votes = rows.release, list(votes)
    barred = barred_from(rows.claims, rows.disputes, rows.photos)
    seen = {claim.trait.survivor.pk: told for claim in rows.claims if (told := claim.seen_here) is not None}  # type: ignore[attr-defined]
    events = [event for variant in rows.variants if (event := last_event(variant))]
    successors = merged_claims(events)
    return f.ReleaseFacts(
        variants=tuple(
            variant_fact(variant, seq, kind_of(last_event(variant)))
            for seq, variant in enumerate(rows.variants, start=1)
        ),
        claims=tuple(claim_fact(claim, seen, barred[claim.pk]) for claim in rows.claims),
        votes=f.readdress_votes((vote_fact(vote) for vote in votes), successors),
        examples=tuple(example_fact(example) for example in rows.examples),
        photos=tuple(photo_fact(photo) for photo in rows.photos),
        marks=f.readdress_marks((mark_fact(mark) for mark in rows.marks), successors),
        disputes=tuple(dispute_fact(dispute, rows.photos) for dispute in rows.disputes),
        links=declared_links(
            [vote.by_id for vote in votes] + [example.owner_id for example in rows.examples]
        ),
        release_accepted=release.is_accepted,
        eligible_reviewers=release.eligible_now,  # type: ignore[attr-defined]
        clear_sealed_pack=release.has_clear_sealed_pack,  # type: ignore[attr-defined]
        sealed_unobtainable=release.sealed_unobtainable,
        fit=fit,
    )


def judged(releases: QuerySet[Release]) -> QuerySet[Release]:
    """With how many reviewers are eligible now, and whether some pack is sealed and see-through."""
    return releases.annotate(
        eligible_now=eligible_here(), has_clear_sealed_pack=Exists(clear_sealed_packs(OuterRef("pk")))
    )


def variants_of(release: Release) -> list[Variant]:
    """In order of sending, each with what moderators did to it as `happened`, oldest first. Queries: 1."""
    events = ModeratorEvent.objects.filter(variant=OuterRef("pk")).order_by("pk")
    mine = Variant.objects.filter(release=release).annotate(happened=NestedRows(events, "kind", "claims"))
    return list(mine.order_by("pk"))


def last_event(variant: Variant) -> ModeratorEvent | None:
    """Of a variant that `variants_of` read."""
    happened: list[ModeratorEvent] = variant.happened  # type: ignore[attr-defined]
    return happened[-1] if happened else None


def votes_of(release: Release) -> QuerySet[Vote]:
    """The current votes on its claims."""
    votes = Vote.objects.current().filter(claim__variant__release=release)
    return votes.select_related("by", "claim", "example").order_by("pk")


def last_events(release: Release) -> dict[int, ModeratorEvent]:
    """The event that counts for each variant of the release that had one, by the variant's key. Queries: 1."""
    events = ModeratorEvent.objects.filter(variant__release=release).order_by("pk")
    return {event.variant_id: event for event in events}


def kind_of(event: ModeratorEvent | None) -> str | None:
    return event.kind if event else None


def merged_claims(events: Iterable[ModeratorEvent]) -> dict[str, str]:
    """By public id: each claim that a merge in force closed, and the claim that took its place then."""
    pairs: dict[str, str] = {}
    for event in events:
        if event.kind == ModeratorEventKind.MERGED:
            pairs |= {closed: after for closed, after in event.claims.items() if after}
    return pairs


def last_survivors(events: Mapping[int, ModeratorEvent]) -> dict[int, int]:
    """By key: each merged variant, and the one at the end of its merges."""
    into = {
        variant: event.into_id
        for variant, event in events.items()
        if event.kind == ModeratorEventKind.MERGED and event.into_id
    }
    names = {str(variant): str(survivor) for variant, survivor in into.items()}
    return {variant: int(f.survivor(str(variant), names)) for variant in into}


def claims_of(release: Release, claims: QuerySet[Claim]) -> list[Claim]:
    """Those of the release, each with whether the release itself says that its trait is seen in pack."""
    trait = Coalesce(OuterRef("trait__merged_into"), OuterRef("trait"))
    adopted = Adoption.objects.filter(release=release, trait=trait).values("seen_in_pack")
    return read(claims.filter(variant__release=release).annotate(seen_here=Subquery(adopted)))


def as_they_read(claims: Iterable[Claim]) -> list[Claim]:
    """The same claims as the database has them: a caller's own may carry names read before its lock. Queries: 1."""
    return read(Claim.objects.filter(pk__in=[claim.pk for claim in claims]))


def read(claims: QuerySet[Claim]) -> list[Claim]:
    related = ("variant", "author", "base_claim", "rival_in", "trait__merged_into", "state__merged_into")
    return list(claims.select_related(*related).order_by("pk"))


def photos_of(release: Release) -> list[Photo]:
    """Photos that show an example of the release, or came with a report or a dispute on it; none of a draft.

    Each with the examples it shows, as `pictured`, and what is marked on it, as `marked`. Queries: 1.
    """
    # A union of three indexed look-ups: one condition over three joins would read every photo there is.
    shown = Photo.objects.filter(photo_examples__example__release=release).values("pk")
    sent = Photo.objects.filter(submission__release=release).values("pk")
    disputed = Photo.objects.filter(dispute__claim__variant__release=release).values("pk")
    mine = Photo.objects.published().filter(pk__in=shown.union(sent, disputed))
    pictured = PhotoExample.objects.filter(photo=OuterRef("pk")).order_by("pk")
    marks = Mark.objects.filter(photo=OuterRef("pk"), removed_at=None, claim__variant__release=release)
    mine = mine.annotate(
        pictured=NestedRows(pictured, "example__public_id"),
        marked=NestedRows(marks.order_by("pk"), *MARK),
    )
    return list(mine.select_related("owner").order_by("pk"))


def barred_from(
    claims: Iterable[Claim], disputes: Iterable[Dispute], photos: Iterable[Photo]
) -> Mapping[int, frozenset[str]]:
    """Who may not vote on a claim: its author, the owners of photos in its submission; for a rival those of the
    dispute's photos as well, and all who are barred from the claim it rivals."""
    by_submission: dict[int | None, set[str]] = defaultdict(set)
    by_dispute: dict[int | None, set[str]] = defaultdict(set)
    for photo in photos:
        by_submission[photo.submission_id].add(photo.owner.public_id)
        by_dispute[photo.dispute_id].add(photo.owner.public_id)
    barred: dict[int, frozenset[str]] = defaultdict(frozenset)
    for claim in claims:
        owners = by_submission[claim.submission_id] if claim.submission_id else set()
        barred[claim.pk] = frozenset(owners | ({claim.author.public_id} if claim.author else set()))
    for dispute in disputes:
        if dispute.rival_id and dispute.claim_id:
            barred[dispute.rival_id] |= barred[dispute.claim_id] | by_dispute[dispute.pk]
    return barred


def has_clear_sealed_pack(release: Release) -> bool:
    """Some pack of the release is sealed and see-through."""
    return clear_sealed_packs(release).exists()


def clear_sealed_packs(release: Release | OuterRef) -> QuerySet[PackContent]:
    return PackContent.objects.filter(release=release, pack__is_sealed=True, pack__is_see_through=True)


def seen_in_pack(release: Release) -> Mapping[int, bool]:
    """By trait: whether the release shows it in the blister or box."""
    return {
        adoption.trait_id: adoption.is_seen_in_pack
        for adoption in Adoption.objects.filter(release=release).select_related("trait")
    }


def is_alterable(claim: Claim) -> bool:
    """The trait can be altered after sale; a missing print always can."""
    return claim.trait.alterable or (claim.trait.kind == TraitKind.PRINT and claim.state.is_absence)


def variant_fact(variant: Variant, seq: int, last_event: str | None) -> f.VariantFact:
    event = cast(f.Event, last_event) if last_event in GONE else None
    return f.VariantFact(variant.public_id, seq, variant.title, event)


def claim_fact(claim: Claim, seen: Mapping[int, bool], barred: frozenset[str]) -> f.ClaimFact:
    trait, state = claim.trait.survivor, claim.state.survivor
    rival_in = getattr(claim, "rival_in", None)
    return f.ClaimFact(
        id=claim.public_id,
        variant=claim.variant.public_id,
        trait=trait.public_id,
        state=state.key if trait.is_cause else state.public_id,
        author=claim.author.public_id if claim.author else None,
        is_difference=claim.is_difference,
        is_open=claim.is_open,
        rival_in=rival_in.public_id if rival_in else None,
        alterable=is_alterable(claim),
        seen_in_pack=seen.get(trait.pk, trait.seen_in_pack),
        accepted=trait.is_accepted and state.is_accepted,
        is_cause=trait.is_cause,
        base_claim=claim.base_claim.public_id if claim.base_claim else None,
        barred=barred,
        trait_name=trait.name,
        state_name=state.name,
        kind=trait.kind,
    )


def vote_fact(vote: Vote) -> f.VoteFact:
    assert vote.claim is not None, "votes on statements bear on no standing"
    return f.VoteFact(
        claim=vote.claim.public_id,
        by=vote.by.public_id,
        verdict=cast(f.Verdict, vote.verdict),
        basis=cast(f.Basis, vote.basis),
        example=vote.example.public_id if vote.example else None,
        counts=vote.counts,
        moderator=vote.by_moderator,
        seq=2 * vote.pk,
    )


def example_fact(example: Example) -> f.ExampleFact:
    return f.ExampleFact(
        id=example.public_id,
        owner=example.owner.public_id if example.owner else None,
        condition=cast(f.Condition, example.condition),
        case=example.found_case or None,
        shop=example.found_shop or None,
        month=example.found_month.strftime("%Y-%m") if example.found_month else None,
    )


def photo_fact(photo: Photo) -> f.PhotoFact:
    """Of a photo that `photos_of` read."""
    return f.PhotoFact(
        id=photo.public_id,
        owner=photo.owner.public_id,
        examples=tuple(shown.example.public_id for shown in photo.pictured),  # type: ignore[attr-defined]
        views=frozenset(photo.views),
        down=photo.taken_down_at is not None,
    )


def mark_fact(mark: Mark) -> f.MarkFact:
    return f.MarkFact(mark.claim.public_id, mark.example.public_id, mark.photo.public_id)


def dispute_fact(dispute: Dispute, photos: Iterable[Photo]) -> f.DisputeFact:
    assert dispute.claim is not None, "disputes of statements bear on no standing"
    assert dispute.rival is not None, "every dispute of a claim has a rival"
    ruled = dispute.outcome == Outcome.UPHELD and dispute.closed_by_id is not None
    return f.DisputeFact(
        id=dispute.public_id,
        claim=dispute.claim.public_id,
        rival=dispute.rival.public_id,
        opened_by=dispute.opened_by.public_id,
        photo=any(photo.dispute_id == dispute.pk and photo.taken_down_at is None for photo in photos),
        is_open=dispute.outcome == Outcome.OPEN,
        ruling="upheld" if ruled else None,
        seq=2 * dispute.after_vote + 1,  # on the scale of votes: after those there were, before those to come
    )
