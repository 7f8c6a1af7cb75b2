"""What becomes of proposals: a moderator accepts, renames or merges a casting, release, trait, state or pack."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.db import transaction

from registry.errors import AlreadyClosed, InvalidField, WrongMoment
from registry.models import (
    Acceptance,
    Adoption,
    AssortmentItem,
    Availability,
    CabinetItem,
    Casting,
    Claim,
    Drift,
    Example,
    JournalEntry,
    Member,
    Pack,
    PackContent,
    Proposable,
    Release,
    ReleaseState,
    Role,
    Sighting,
    State,
    Statement,
    Submission,
    Trait,
    Variant,
)

from . import wording
from .admission import require
from .index import index
from .proposals import refuse_twins
from .settle import settle_release

TEXTS = {
    Casting: {"what": 80, "subject": 120},
    Release: {"number": 40, "livery": 120},
    Trait: {"how_to_inspect": 300},
    State: {},
    Pack: {},
}


@transaction.atomic
def accept(*, thing: Proposable, by: Member, at: datetime, alterable: bool | None = None) -> Proposable:
    """Take a proposal into the catalogue. A trait's `alterable` may be set in the same breath."""
    require(by, Role.MODERATOR)
    kept = current(thing)
    if kept.acceptance == Acceptance.ACCEPTED:
        raise WrongMoment(f"{kept} has already been accepted.")
    kept.acceptance = Acceptance.ACCEPTED
    if isinstance(kept, Trait) and alterable is not None:
        kept.alterable = alterable
    kept.save()
    detail: dict[str, Any] = {kept._meta.model_name or "thing": kept.public_id}
    if isinstance(kept, (Trait, State)):
        detail["claims"] = sorted(claims_on(kept).values_list("public_id", flat=True))
    JournalEntry.objects.record(
        by=by, verb=f"{kept._meta.model_name}.accepted", about=kept, at=at, detail=detail
    )
    settle_touched(kept, at)
    return kept


@transaction.atomic
def rename(
    *, thing: Proposable, by: Member, at: datetime, name: str | None = None, **texts: object
) -> Proposable:
    """Change the name or another text. Keys and ids never change, so nothing that was published moves."""
    require(by, Role.MODERATOR)
    kept = current(thing)
    if name is not None:
        kept.name = wording.line("name", name, 120 if isinstance(kept, (Release, Pack)) else 80)  # type: ignore[attr-defined]
        refuse_twins("name", kept.name, siblings_of(kept), is_new=True)  # type: ignore[attr-defined]
    for field, value in texts.items():
        most = TEXTS[type(kept)].get(field)
        if field == "nicknames" and hasattr(kept, "nicknames"):
            kept.nicknames = wording.lines("nicknames", value, 60)
        elif most is None:
            raise InvalidField(field, value, f"A {kept._meta.verbose_name} has no such text to change.")
        else:
            setattr(kept, field, wording.line(field, value, most, required=False))
    kept.save()
    index(kept)
    JournalEntry.objects.record(
        by=by, verb=f"{kept._meta.model_name}.renamed", about=kept, at=at, detail={"fields": sorted(texts)}
    )
    return kept


@transaction.atomic
def merge(*, thing: Proposable, into: Proposable, by: Member, at: datetime) -> Proposable:
    """Two rows stand for one thing: this one gives way. Claims keep their rows; readers are led to the survivor."""
    require(by, Role.MODERATOR)
    kept, survivor = locked_pair(thing, into)
    touched = list(releases_touched(kept))
    match kept:
        case State():
            check_states(kept, survivor)
        case Trait():
            merge_trait(kept, survivor)
        case Casting():
            merge_casting(kept, survivor)
        case Release():
            merge_release(kept, survivor)
            touched = [survivor]
        case Pack():
            merge_pack(kept, survivor)
    type(kept)._default_manager.filter(merged_into=kept).update(merged_into=survivor)
    kept.acceptance, kept.merged_into = Acceptance.MERGED, survivor
    kept.save()
    index(kept)
    detail = {kept._meta.model_name or "thing": kept.public_id, "into": survivor.public_id}
    JournalEntry.objects.record(
        by=by, verb=f"{kept._meta.model_name}.merged", about=kept, at=at, detail=detail
    )
    for release in touched:
        settle_release(release=release, at=at)
    return survivor


def current(thing: Proposable) -> Proposable:
    """The row, locked. Errors: AlreadyClosed when it has been merged."""
    kept = type(thing)._default_manager.select_for_update().get(pk=thing.pk)
    if kept.acceptance == Acceptance.MERGED:
        raise AlreadyClosed(f"{kept} was merged into {kept.merged_into}.")
    return kept


def locked_pair(thing: Proposable, into: Proposable) -> tuple[Any, Any]:
    """Both rows, locked in order of key, so that two merges the other way round cannot wait for each other."""
    if type(thing) is not type(into) or thing.pk == into.pk:
        raise InvalidField("into", into.public_id, f"Choose another {thing._meta.verbose_name}.")
    rows = type(thing)._default_manager.select_for_update().filter(pk__in=(thing.pk, into.pk)).order_by("pk")
    pair = {row.pk: row for row in rows}
    if Acceptance.MERGED in (pair[thing.pk].acceptance, pair[into.pk].acceptance):
        raise AlreadyClosed("One of the two has already been merged. Reload the page.")
    return pair[thing.pk], pair[into.pk]


def siblings_of(thing: Any) -> Iterable[Any]:
    known: Any
    match thing:
        case Casting():
            known = Casting.objects.current().filter(maker=thing.maker)
        case Release():
            known = Release.objects.current().filter(
                casting=thing.casting,
                line=thing.line,
                year=thing.year,
                number=thing.number,
                livery=thing.livery,
            )
        case Trait():
            known = Trait.objects.current().filter(line=thing.line, casting=thing.casting)
        case State():
            known = State.objects.current().filter(trait=thing.trait)
        case _:
            known = (
                Pack.objects.current().filter(line=thing.line, releases__in=thing.releases.all()).distinct()
            )
    return known.exclude(pk=thing.pk)


def claims_on(thing: Trait | State) -> Any:
    return (
        Claim.objects.filter(trait=thing) if isinstance(thing, Trait) else Claim.objects.filter(state=thing)
    )


def releases_touched(thing: Any) -> Iterable[Release]:
    match thing:
        case Release():
            return [thing]
        case Trait() | State():
            return Release.objects.filter(variants__claims__in=claims_on(thing)).distinct().order_by("pk")
        case Pack() | Casting():
            return thing.releases.filter(variants__isnull=False).distinct().order_by("pk")
    return []


def settle_touched(thing: Any, at: datetime) -> None:
    for release in releases_touched(thing):
        settle_release(release=release, at=at)


def check_states(state: State, survivor: State) -> None:
    if state.trait.survivor != survivor.trait.survivor:
        raise InvalidField("into", survivor.name, f"Choose a state of {state.trait}.")
    if state.is_built_in:
        raise InvalidField("state", state.name, "Built-in states cannot be merged.")


def merge_trait(trait: Trait, survivor: Trait) -> None:
    """Errors: InvalidField where a variant has open claims on both that disagree: a dispute must decide first."""
    if trait.is_cause or survivor.is_cause:
        raise InvalidField("trait", trait.name, "Cause is built in and cannot be merged.")
    said: dict[int, set[str]] = defaultdict(set)
    for claim in (
        Claim.objects.open().filter(trait__in=(trait, survivor)).select_related("state__merged_into")
    ):
        said[claim.variant_id].add(claim.state.survivor.key)
    if torn := [variant for variant, keys in said.items() if len(keys) > 1]:
        names = ", ".join(Variant.objects.filter(pk__in=torn[:3]).values_list("title", flat=True))
        raise InvalidField(
            "trait", trait.name, f"These variants claim different states on the two: {names}. Dispute first."
        )
    theirs = {state.key: state for state in survivor.states.all()}
    for state in trait.states.filter(acceptance__in=(Acceptance.ACCEPTED, Acceptance.PROPOSED)):
        if state.key in theirs:
            state.acceptance, state.merged_into = Acceptance.MERGED, theirs[state.key].survivor
        else:
            state.trait = survivor
        state.save()
    for adoption in Adoption.objects.filter(trait=trait):
        Adoption.objects.get_or_create(release_id=adoption.release_id, trait=survivor)
        adoption.delete()


def merge_casting(casting: Casting, survivor: Casting) -> None:
    taken = set(survivor.traits.values_list("key", flat=True))
    if clash := [trait.name for trait in casting.traits.current() if trait.key in taken]:
        raise InvalidField(
            "casting", casting.name, f"Both have a trait of this key: {', '.join(clash)}. Merge it first."
        )
    casting.traits.current().update(casting=survivor)
    Release.objects.filter(casting=casting).update(casting=survivor)
    Submission.objects.filter(casting=casting).update(casting=survivor)


def merge_release(release: Release, survivor: Release) -> None:
    """Everything inside moves over; what both hold is kept once."""
    if release.casting_id != survivor.casting_id or release.line_id != survivor.line_id:
        raise InvalidField("into", survivor.name, "Choose a release of the same casting and line.")
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
    )
    for model in holders:
        model.objects.filter(release=release).update(release=survivor)


def merge_pack(pack: Pack, survivor: Pack) -> None:
    known = {content.release_id for content in survivor.contents.all()}
    for content in pack.contents.all():
        if content.release_id not in known:
            PackContent.objects.create(pack=survivor, release_id=content.release_id, count=content.count)
    names = set(survivor.versions.values_list("name", flat=True))
    pack.versions.exclude(name__in=names).update(pack=survivor)
    Sighting.objects.filter(pack=pack).update(pack=survivor)
    Availability.objects.filter(pack=pack).update(pack=survivor)
