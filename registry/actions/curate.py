"""What becomes of proposals: a moderator accepts, renames or merges a casting, release, trait, state or pack."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.db.models import Q

from registry.errors import AlreadyClosed, InvalidField, WrongMoment
from registry.models import (
    Acceptance,
    Casting,
    JournalEntry,
    Member,
    Pack,
    Proposable,
    Release,
    Role,
    State,
    Trait,
)
from registry.sentences import Sentence

from . import wording
from .admission import require
from .catalogue import LONGEST_WHEELBASE_UM
from .index import index, index_with_parts
from .journalled import journalled
from .merging import merge_casting, merge_pack, merge_release, merge_trait, refuse_states
from .proposals import refuse_twins
from .restate import claims_on, restated
from .settle import locked, settle_release

TEXTS = {
    Casting: {"what": 80, "subject": 120},
    Release: {"number": 40, "livery": 120},
    Trait: {"how_to_inspect": 300},
    State: {},
    Pack: {},
}


@journalled
def accept(*, thing: Proposable, by: Member, at: datetime, alterable: bool | None = None) -> Proposable:
    """Take a proposal into the catalogue. A trait's `alterable` may be set in the same breath."""
    require(by, Role.MODERATOR)
    kept = current(thing)
    if kept.acceptance == Acceptance.ACCEPTED:
        raise WrongMoment(Sentence("%(kept)s has already been accepted.", kept=kept))
    hold(kept)
    kept.acceptance = Acceptance.ACCEPTED
    if isinstance(kept, Trait) and alterable is not None:
        kept.alterable = alterable
    kept.save()
    detail = {noun(kept): kept.public_id, **claims_as_they_read(kept)}
    JournalEntry.objects.record(by=by, verb=f"{noun(kept)}.accepted", about=kept, at=at, detail=detail)
    settle_touched(kept, at)
    return kept


@journalled
def rename(
    *, thing: Proposable, by: Member, at: datetime, name: str | None = None, **texts: object
) -> Proposable:
    """Change the name or another text, or a casting's `wheelbase_um` (None: not known).

    Keys and ids never change, so nothing that was published moves.
    """
    require(by, Role.MODERATOR)
    kept = current(thing)
    hold(kept)
    if name is not None:
        kept.name = wording.line("name", name, 120 if isinstance(kept, (Release, Pack)) else 80)  # type: ignore[attr-defined]
    for field, value in texts.items():
        most = TEXTS[type(kept)].get(field)
        if field == "nicknames" and hasattr(kept, "nicknames"):
            kept.nicknames = wording.lines("nicknames", value, 60)
        elif field == "wheelbase_um" and isinstance(kept, Casting):
            kept.wheelbase_um = wording.whole_if_given(field, value, 1, LONGEST_WHEELBASE_UM)
        elif most is None:
            raise InvalidField(
                field,
                value,
                Sentence("A %(kind)s has no such text to change.", kind=wording.KINDS[noun(kept)]),
            )
        else:
            setattr(kept, field, wording.line(field, value, most, required=False))
    if name is not None or isinstance(kept, Release):
        refuse_twins("name", kept.name, siblings_of(kept), is_new=True)  # type: ignore[attr-defined]
    kept.save()
    index_with_parts(kept)
    fields = sorted({*texts, *(["name"] if name is not None else [])})
    detail = {noun(kept): kept.public_id, "fields": fields, **claims_as_they_read(kept)}
    JournalEntry.objects.record(by=by, verb=f"{noun(kept)}.renamed", about=kept, at=at, detail=detail)
    settle_touched(kept, at)
    return kept


@journalled
def merge(*, thing: Proposable, into: Proposable, by: Member, at: datetime, reason: str = "") -> Proposable:
    """Two rows stand for one thing: this one gives way. Claims keep their rows; readers are led to the survivor."""
    why = wording.line("reason", reason, 300, required=False)
    require(by, Role.MODERATOR)
    kept, survivor = locked_pair(thing, into)
    hold(kept)
    touched = [survivor] if isinstance(kept, Release) else list(releases_touched(kept))
    detail: dict[str, Any] = {"reason": why} if why else {}
    match kept:
        case State():
            refuse_states(kept, survivor)
        case Trait():
            merge_trait(kept, survivor, by, at)
        case Casting():
            merge_casting(kept, survivor)
        case Release():
            detail["claims"] = merge_release(kept, survivor)
        case Pack():
            detail["clear"] = merge_pack(kept, survivor)
    type(kept)._default_manager.filter(merged_into=kept).update(merged_into=survivor)
    kept.acceptance, kept.merged_into = Acceptance.MERGED, survivor
    kept.save()
    index(kept)
    index_with_parts(survivor)
    detail |= {noun(kept): kept.public_id, "into": survivor.public_id, **claims_as_they_read(survivor)}
    JournalEntry.objects.record(by=by, verb=f"{noun(kept)}.merged", about=kept, at=at, detail=detail)
    for release in touched:
        settle_release(release=release, at=at)
    return survivor


def noun(thing: Proposable) -> str:
    return str(thing._meta.model_name)


def claims_as_they_read(thing: Proposable) -> dict[str, Any]:
    """For the journal, where the change may bear on claims."""
    return {"claims": restated(claims_on(thing))} if isinstance(thing, (Trait, State)) else {}


def current(thing: Proposable) -> Proposable:
    """The row, locked. Errors: AlreadyClosed when it has been merged."""
    kept = type(thing)._default_manager.select_for_update(no_key=True).get(pk=thing.pk)
    if kept.acceptance == Acceptance.MERGED:
        raise AlreadyClosed(
            Sentence("%(kept)s was merged into %(merged_into)s.", kept=kept, merged_into=kept.merged_into)
        )
    return kept


def locked_pair(thing: Proposable, into: Proposable) -> tuple[Any, Any]:
    """Both rows, locked in order of key, so that two merges the other way round cannot wait for each other."""
    if type(thing) is not type(into) or thing.pk == into.pk:
        raise InvalidField(
            "into",
            into.public_id,
            Sentence("Choose another %(kind)s.", kind=wording.KINDS[noun(thing)]),
        )
    both = type(thing)._default_manager.filter(pk__in=(thing.pk, into.pk))
    rows = both.select_for_update(no_key=True).order_by("pk")
    pair = {row.pk: row for row in rows}
    if Acceptance.MERGED in (pair[thing.pk].acceptance, pair[into.pk].acceptance):
        raise AlreadyClosed(Sentence("One of the two has already been merged. Reload the page."))
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


def releases_touched(thing: Any) -> Iterable[Release]:
    match thing:
        case Release():
            return [thing]
        case Trait() | State():
            return Release.objects.filter(variants__claims__in=claims_on(thing)).distinct().order_by("pk")
        case Pack() | Casting():
            return thing.releases.filter(variants__isnull=False).distinct().order_by("pk")
    return []


def hold(thing: Any) -> None:
    """Lock the releases in which nobody may say anything meanwhile: else a report that is being sent would keep
    what the thing was before, and nobody would settle it anew."""
    for release in releases_held(thing):
        locked(release)


def releases_held(thing: Any) -> Iterable[Release]:
    """Those touched, and those that adopted the trait, where something may be said of it or its states."""
    if isinstance(thing, (Trait, State)):
        trait = thing.trait if isinstance(thing, State) else thing
        held = Q(variants__claims__in=claims_on(thing)) | Q(adoptions__trait=trait)
        return Release.objects.filter(held).distinct().order_by("pk")
    return releases_touched(thing)


def settle_touched(thing: Any, at: datetime) -> None:
    for release in releases_touched(thing):
        settle_release(release=release, at=at)
