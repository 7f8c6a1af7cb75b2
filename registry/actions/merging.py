"""What one row takes over from another that stands for the same thing. Called by curate, inside its transaction."""

from __future__ import annotations

from collections import defaultdict
from datetime import datetime
from typing import Any

from django.db.models import Q

from registry.errors import InvalidField
from registry.methods import reasons
from registry.models import (
    Acceptance,
    Adoption,
    AssortmentItem,
    Availability,
    CabinetItem,
    Casting,
    Claim,
    Dispute,
    Drift,
    Example,
    FeedEvent,
    Member,
    Pack,
    PackContent,
    Release,
    ReleaseState,
    Sighting,
    State,
    Statement,
    Submission,
    Trait,
    Variant,
    Watch,
)
from registry.queries.facts import has_clear_sealed_pack
from registry.sentences import Sentence

from .index import index
from .restate import restated
from .revise import revise


def refuse_states(state: State, survivor: State) -> None:
    """Errors: InvalidField for states of two traits, a built-in one, or two that a dispute is open between."""
    if state.trait.survivor != survivor.trait.survivor:
        raise InvalidField("into", survivor.name, Sentence("Choose a state of %(trait)s.", trait=state.trait))
    if state.is_built_in:
        raise InvalidField("state", state.name, Sentence("Built-in states cannot be merged."))
    both = [*State.objects.filter(Q(pk__in=(state.pk, survivor.pk)) | Q(merged_into__in=(state, survivor)))]
    between = Dispute.objects.open().filter(claim__state__in=both, rival__state__in=both).first()
    if between:
        raise InvalidField(
            "state",
            state.name,
            Sentence("A dispute (%(id)s) is open between the two. Let it end.", id=between.shown_id),
        )


def merge_trait(trait: Trait, survivor: Trait, by: Member, at: datetime) -> None:
    """States of one key become one. Errors: InvalidField where the two do not fit or a variant claims both unlike."""
    if trait.is_cause or survivor.is_cause:
        raise InvalidField("trait", trait.name, Sentence("Cause is built in and cannot be merged."))
    for release in Release.objects.filter(adoptions__trait=trait):
        if survivor.line_id != release.line_id and survivor.casting_id != release.casting_id:
            raise InvalidField(
                "into",
                survivor.name,
                Sentence("%(release)s could not adopt it. Choose a detail of its own.", release=release),
            )
    doubled = claimed_twice(trait, survivor)
    merge_states(trait, survivor)
    for adoption in Adoption.objects.filter(trait=trait):
        said = {"place": adoption.place, "note": adoption.note, "seen_in_pack": adoption.seen_in_pack}
        Adoption.objects.get_or_create(release_id=adoption.release_id, trait=survivor, defaults=said)
        adoption.delete()
    Drift.objects.filter(trait=trait).update(trait=survivor)
    for claim in doubled:
        claim.closed_at = at
        claim.save(update_fields=["closed_at"])
        reason = reasons.DETAILS_BECAME_ONE.filled(trait=trait, survivor=survivor)
        revise(variant=claim.variant, author=by, reason=reason, at=at)


def claimed_twice(trait: Trait, survivor: Trait) -> list[Claim]:
    """Claims to close, their variant claiming the same on both: that named as the difference stays, or the older.

    Errors: InvalidField where a variant claims different states on the two, or such a claim is disputed.
    """
    said: dict[int, list[Claim]] = defaultdict(list)
    open_claims = Claim.objects.open().on(trait) | Claim.objects.open().on(survivor)
    for claim in open_claims.select_related("variant", "state__merged_into").order_by("-is_difference", "pk"):
        said[claim.variant_id].append(claim)
    torn = [
        claims[0].variant.title for claims in said.values() if len({c.state.survivor.key for c in claims}) > 1
    ]
    if torn:
        remedy = Sentence(
            "These variants claim different states on the two: %(ones)s. Dispute first.",
            ones=", ".join(torn[:3]),
        )
        raise InvalidField("trait", trait.name, remedy)
    spare = [claim for claims in said.values() for claim in claims[1:]]
    if disputed := Dispute.objects.open().filter(claim__in=spare).first():
        raise InvalidField(
            "trait",
            trait.name,
            Sentence("A dispute (%(id)s) is open there. Let it end first.", id=disputed.shown_id),
        )
    return spare


def merge_states(trait: Trait, survivor: Trait) -> None:
    theirs = {state.key: state for state in survivor.states.select_related("merged_into")}
    for state in trait.states.current():
        if state.key in theirs:
            state.acceptance, state.merged_into = Acceptance.MERGED, theirs[state.key].survivor
            State.objects.filter(merged_into=state).update(merged_into=state.merged_into)
        else:
            state.trait = survivor
        state.save()
        index(state)


def merge_casting(casting: Casting, survivor: Casting) -> None:
    """Errors: InvalidField where the makers differ, or a trait or a release of both would be there twice."""
    if casting.maker_id != survivor.maker_id:
        raise InvalidField(
            "into", survivor.name, Sentence("Choose a casting of %(maker)s.", maker=casting.maker)
        )
    taken = set(survivor.traits.values_list("key", flat=True))
    if clash := [trait.name for trait in casting.traits.current() if trait.key in taken]:
        raise InvalidField(
            "casting",
            casting.name,
            Sentence("Both have a detail of this key: %(ones)s. Merge it first.", ones=", ".join(clash)),
        )
    listed = {issue_of(release) for release in Release.objects.current().filter(casting=survivor)}
    moving = Release.objects.current().filter(casting=casting)
    if twice := [str(release) for release in moving if issue_of(release) in listed]:
        raise InvalidField(
            "casting",
            casting.name,
            Sentence("Both have this release: %(ones)s. Merge the releases first.", ones=", ".join(twice)),
        )
    casting.traits.current().update(casting=survivor)
    Release.objects.filter(casting=casting).update(casting=survivor)
    Submission.objects.filter(casting=casting).update(casting=survivor)
    following = Watch.objects.filter(casting=survivor).values("member")
    Watch.objects.filter(casting=casting).exclude(member__in=following).update(casting=survivor)
    Watch.objects.filter(casting=casting).delete()


def issue_of(release: Release) -> tuple[object, ...]:
    """What tells a release from the others of its casting."""
    return release.line_id, release.name, release.number, release.year, release.livery


def merge_release(release: Release, survivor: Release) -> list[dict[str, Any]]:
    """Everything inside moves over; what both hold is kept once. Answers the claims that moved, for the journal.

    The casting may be another, as where both were proposed: then the castings are merged next.
    """
    if release.line_id != survivor.line_id:
        raise InvalidField("into", survivor.name, Sentence("Choose a release of the same line."))
    refuse_two_details(release, survivor)
    moving = list(Claim.objects.filter(variant__release=release).values_list("pk", flat=True))
    for adoption in Adoption.objects.filter(release=release):
        Adoption.objects.get_or_create(
            release=survivor,
            trait_id=adoption.trait_id,
            defaults={"place": adoption.place, "note": adoption.note, "seen_in_pack": adoption.seen_in_pack},
        )
    pairs: tuple[tuple[Any, str], ...] = (
        (AssortmentItem, "assortment"),
        (PackContent, "pack"),
        (ReleaseState, "state"),
    )
    for model, other in pairs:
        known = model.objects.filter(release=survivor).values(other)
        model.objects.filter(release=release, **{f"{other}__in": known}).delete()
    Submission.objects.filter(release=release).update(casting=survivor.casting)
    holders: tuple[Any, ...] = (
        Variant,
        Example,
        Sighting,
        Statement,
        Submission,
        Availability,
        Drift,
        ReleaseState,
        AssortmentItem,
        PackContent,
        CabinetItem,
        FeedEvent,
    )
    for model in holders:
        model.objects.filter(release=release).update(release=survivor)
    return restated(Claim.objects.filter(pk__in=moving))


def refuse_two_details(release: Release, survivor: Release) -> None:
    """Errors: InvalidField where the two adopted different details under one key."""
    theirs = dict(Adoption.objects.filter(release=survivor).values_list("trait__key", "trait"))
    for key, trait in Adoption.objects.filter(release=release).values_list("trait__key", "trait"):
        if theirs.get(key, trait) != trait:
            raise InvalidField(
                "release",
                key,
                Sentence(
                    "%(survivor)s has another detail with this key. Merge the two details first.",
                    survivor=survivor,
                ),
            )


def merge_pack(pack: Pack, survivor: Pack) -> dict[str, bool]:
    """Answers for each release that was in it whether a sealed see-through pack is left to it, for the journal."""
    if pack.line_id != survivor.line_id:
        raise InvalidField("into", survivor.name, Sentence("Choose a pack of %(line)s.", line=pack.line))
    known = {content.release_id for content in survivor.contents.all()}
    moved = list(pack.contents.select_related("release"))
    for content in moved:
        if content.release_id not in known:
            PackContent.objects.create(pack=survivor, release=content.release, count=content.count)
    pack.contents.all().delete()
    names = set(survivor.versions.values_list("name", flat=True))
    pack.versions.exclude(name__in=names).update(pack=survivor)
    Sighting.objects.filter(pack=pack).update(pack=survivor)
    Availability.objects.filter(pack=pack).update(pack=survivor)
    return {content.release.public_id: has_clear_sealed_pack(content.release) for content in moved}
