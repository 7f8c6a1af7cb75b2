"""All that bears on the standings of one release, gathered as plain values for the pure function.

A constant number of queries, and none whose answer grows with anything but the release itself.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import cast

from django.db.models import OuterRef, QuerySet

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

from .reviewers import declared_links, eligible_reviewers


def current_policy() -> Policy:
    """The newest adopted policy."""
    return Policy.from_dict(StoredPolicy.objects.latest("version").numbers)


def release_facts(release: Release, fit: int = 0) -> f.ReleaseFacts:
    """Facts of one release, rows in order of their making. `fit`: number of the fit to decide under, 0 for none."""
    variants = Variant.objects.filter(release=release).order_by("pk")
    claims = claims_of(release)
    photos = photos_of(release)
    disputes = list(
        Dispute.objects.filter(claim__variant__release=release)
        .select_related("claim", "rival", "opened_by")
        .order_by("pk")
    )
    barred = barred_from(claims, disputes, photos)
    seen = seen_in_pack(release)
    votes = list(
        Vote.objects.current()
        .filter(claim__variant__release=release)
        .select_related("by", "claim", "example")
        .order_by("pk")
    )
    marks = Mark.objects.filter(removed_at=None, claim__variant__release=release)
    examples = list(Example.objects.filter(release=release).select_related("owner").order_by("pk"))
    events = last_events(release)
    successors = merged_claims(events.values())
    return f.ReleaseFacts(
        variants=tuple(
            variant_fact(variant, seq, kind_of(events.get(variant.pk)))
            for seq, variant in enumerate(variants, start=1)
        ),
        claims=tuple(claim_fact(claim, seen, barred[claim.pk]) for claim in claims),
        votes=f.readdress_votes((vote_fact(vote) for vote in votes), successors),
        examples=tuple(example_fact(example) for example in examples),
        photos=tuple(photo_fact(photo) for photo in photos),
        marks=f.readdress_marks(
            (
                f.MarkFact(mark.claim.public_id, mark.example.public_id, mark.photo.public_id)
                for mark in marks.select_related("claim", "example", "photo").order_by("pk")
            ),
            successors,
        ),
        disputes=tuple(dispute_fact(dispute, photos) for dispute in disputes),
        links=declared_links([vote.by_id for vote in votes] + [example.owner_id for example in examples]),
        release_accepted=release.is_accepted,
        eligible_reviewers=eligible_reviewers(release),
        clear_sealed_pack=has_clear_sealed_pack(release),
        sealed_unobtainable=release.sealed_unobtainable,
        fit=fit,
    )


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


def claims_of(release: Release) -> list[Claim]:
    return read(Claim.objects.filter(variant__release=release))


def as_they_read(claims: Iterable[Claim]) -> list[Claim]:
    """The same claims as the database has them: a caller's own may carry names read before its lock. Queries: 1."""
    return read(Claim.objects.filter(pk__in=[claim.pk for claim in claims]))


def read(claims: QuerySet[Claim]) -> list[Claim]:
    related = ("variant", "author", "base_claim", "rival_in", "trait__merged_into", "state__merged_into")
    return list(claims.select_related(*related).order_by("pk"))


def photos_of(release: Release) -> list[Photo]:
    """Photos that show an example of the release, or came with a report or a dispute on it; none of a draft.

    Each with the examples it shows, as `pictured`. Queries: 1.
    """
    # A union of three indexed look-ups: one condition over three joins would read every photo there is.
    shown = Photo.objects.filter(photo_examples__example__release=release).values("pk")
    sent = Photo.objects.filter(submission__release=release).values("pk")
    disputed = Photo.objects.filter(dispute__claim__variant__release=release).values("pk")
    mine = Photo.objects.published().filter(pk__in=shown.union(sent, disputed))
    pictured = PhotoExample.objects.filter(photo=OuterRef("pk")).order_by("pk")
    mine = mine.annotate(pictured=NestedRows(pictured, "example__public_id"))
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
    packs = PackContent.objects.filter(release=release, pack__is_sealed=True, pack__is_see_through=True)
    return packs.exists()


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
