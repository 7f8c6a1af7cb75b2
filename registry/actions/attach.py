"""Attach evidence: photographs, made safe before they are kept, and the examples that they show."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime
from functools import partial
from typing import Any

from django.db import transaction
from django.db.models import Q

from registry.errors import (
    AlreadyClosed,
    ImageRefused,
    InvalidField,
    NotFound,
    NotPermitted,
    RegistryError,
    WrongMoment,
)
from registry.methods.photo import CleanPicture
from registry.models import (
    Condition,
    Dispute,
    Example,
    JournalEntry,
    Licence,
    Mark,
    Measurement,
    Member,
    Photo,
    PhotoExample,
    Release,
    Sighting,
    Submission,
    View,
)
from registry.sentences import Sentence

from . import wording
from .admission import active
from .correct import of_statement
from .journalled import journalled
from .likenesses import Sought, keep_likenesses, likenesses
from .photo_files import cleaned, drop_files, keep_files
from .photo_parent import barred_claims, lock_parent, refuse_unless_open
from .quotas import admit, count_try, look_ahead
from .settle import settle_release


@dataclass(frozen=True, slots=True)
class TakenIn:
    """A picture that was decoded and whose files are stored, though no row names them yet.

    `picture` is None where the same upload was already attached there; `sought` is what it is like.
    """

    upload_digest: str
    picture: CleanPicture | None
    sought: Sought | None = None


def take_in(
    *,
    by: Member,
    at: datetime,
    data: bytes,
    submission: Submission | None = None,
    dispute: Dispute | None = None,
    sighting: Sighting | None = None,
) -> TakenIn:
    """Decode a picture that is about to be attached and store its files: what takes long, before any transaction.

    Files that no row comes to name do no harm; `sweep_photos` removes them. Without anything to attach it to, only
    the account and the picture are looked at.
    Errors: ImageRefused, Busy, TooMany, NotPermitted, NotFound for another member's draft, AlreadyClosed.
    """
    photo = Photo(submission=submission, dispute=dispute, sighting=sighting, owner=active(by))
    photo.upload_digest = hashlib.sha256(data).hexdigest()
    refuse_unless_open(photo)
    if (submission or dispute or sighting) and attached_already(photo):
        return TakenIn(photo.upload_digest, None)
    look_ahead(by, "photos", at)
    count_try(by)
    picture = cleaned(data)
    photo.digest = picture.digest
    attached_already(photo)  # a picture that may not be sent again is not stored either
    keep_files(picture)
    return TakenIn(photo.upload_digest, picture, likenesses(photo, picture.thumbnails["320"]))


def attach_photo(
    *,
    by: Member,
    at: datetime,
    data: bytes | TakenIn,
    submission: Submission | None = None,
    dispute: Dispute | None = None,
    sighting: Sighting | None = None,
    examples: Iterable[Example] = (),
    views: Sequence[str] = (),
    caption: str = "",
    licence: str = Licence.CC_BY_4,
    is_edited: bool = False,
) -> Photo:
    """Attach a picture to one report, dispute or sighting, and say which examples it shows from which side.

    A caller that is in a transaction takes the picture in before it opens, so that nobody waits for the decoding.
    The same picture again in the same place answers the photo there.
    Errors: those of take_in, and InvalidField.
    """
    if sum(parent is not None for parent in (submission, dispute, sighting)) != 1:
        raise InvalidField(
            "submission", None, Sentence("Attach the photo to exactly one report, dispute or sighting.")
        )
    photo = Photo(
        submission=submission,
        dispute=dispute,
        sighting=sighting,
        owner=active(by),
        views=wording.several("views", views, View),
        caption=wording.line("caption", caption, 200, required=False),
        licence=wording.choice("licence", licence, Licence),
        is_edited=is_edited,
        added_at=at,
    )
    if isinstance(data, bytes):
        data = take_in(by=by, at=at, data=data, submission=submission, dispute=dispute, sighting=sighting)
    photo.upload_digest = data.upload_digest
    if data.picture is not None:
        describe(photo, data.picture, at)
    try:
        return enter(photo, examples, at, data)
    except RegistryError:
        leave(data)
        raise


def leave(taken: TakenIn | None) -> None:
    """What was taken in and then refused leaves no files behind."""
    if taken and taken.picture:
        drop_files(taken.picture.digest)


def describe(photo: Photo, picture: CleanPicture, at: datetime) -> None:
    photo.digest, photo.size_bytes = picture.digest, len(picture.jpeg)
    photo.width, photo.height = picture.width, picture.height
    photo.quality = asdict(picture.quality)
    # A day that has not come is a camera's clock set wrong.
    photo.captured_on = picture.captured_on if (picture.captured_on or date.max) <= at.date() else None


@journalled
def enter(photo: Photo, examples: Iterable[Example], at: datetime, taken: TakenIn) -> Photo:
    """The row, once the files are there. What was checked before is checked again under the lock.

    Errors: WrongMoment where the photo that made decoding needless was taken down meanwhile.
    """
    member = active(photo.owner)
    release = lock_parent(photo)
    shown = showable(examples, release, member)
    if known := attached_already(photo):
        return known
    if taken.picture is None or taken.sought is None:
        raise WrongMoment(Sentence("The same picture was taken down in this very moment. Reload the page."))
    admit(member, "photos", at)
    is_first = photo.dispute is not None and not photo.dispute.photos.shown().exists()
    photo.compared_at = at
    photo.save()
    keep_likenesses(photo, taken.sought)
    PhotoExample.objects.bulk_create(PhotoExample(photo=photo, example=example) for example in shown)
    JournalEntry.objects.record(
        by=member, verb="photo.attached", about=photo, at=at, detail=attaching_detail(photo, shown, release)
    )
    if is_first and photo.dispute:
        added = {"id": photo.dispute.public_id, **of_statement(photo.dispute)}
        JournalEntry.objects.record(
            by=member, verb="dispute.photo_added", about=photo.dispute, at=at, detail=added
        )
    settle_if_published(photo, release, at)
    # Somebody may have dropped the same files since: as nobody's, or with the last photo that showed them.
    transaction.on_commit(partial(keep_files, taken.picture))
    return photo


def attaching_detail(photo: Photo, shown: Sequence[Example], release: Release | None) -> dict[str, Any]:
    """A draft's photo names no release: it bears on nothing until the report is sent."""
    return {
        "id": photo.public_id,
        "owner": photo.owner.public_id,
        "examples": [example.public_id for example in shown],
        "views": photo.views,
        "submission": photo.submission.public_id if photo.submission else None,
        "dispute": photo.dispute.public_id if photo.dispute else None,
        "release": release.public_id if release and photo.is_published else None,
        "bars": barred_claims(photo),
    }


@journalled
def describe_photo(
    *,
    photo: Photo,
    by: Member,
    at: datetime,
    examples: Iterable[Example] | None = None,
    views: Sequence[str] | None = None,
    caption: str | None = None,
    is_edited: bool | None = None,
) -> Photo:
    """Its owner says anew what a photo shows; what is not named stays as it was.

    Errors: NotFound, NotPermitted, AlreadyClosed, InvalidField for an example that a mark here still names.
    """
    member = active(by)
    if photo.owner_id != member.pk:
        raise (
            NotPermitted(Sentence("Only its owner says what a photo shows."))
            if photo.is_published
            else NotFound()
        )
    release = lock_parent(photo)
    photo.refresh_from_db(fields=["views", "caption", "is_edited", "taken_down_at"])
    if photo.taken_down_at:
        raise AlreadyClosed(Sentence("This photo was taken down by a moderator."))
    if views is not None:
        photo.views = wording.several("views", views, View)
    if caption is not None:
        photo.caption = wording.line("caption", caption, 200, required=False)
    if is_edited is not None:
        photo.is_edited = is_edited
    photo.save(update_fields=["views", "caption", "is_edited"])
    if examples is not None:
        show_only(photo, showable(examples, release, member))
    shown = list(photo.photo_examples.order_by("pk").values_list("example__public_id", flat=True))
    detail = {"id": photo.public_id, "examples": shown, "views": photo.views}
    if is_edited is not None:
        detail["edited"] = photo.is_edited
    JournalEntry.objects.record(by=member, verb="photo.described", about=photo, at=at, detail=detail)
    settle_if_published(photo, release, at)
    return photo


@journalled
def add_example(
    *,
    by: Member,
    at: datetime,
    release: Release,
    condition: str,
    mine: bool = True,
    found_case: str = "",
    found_shop: str = "",
    found_month: date | None = None,
    country: str = "",
    region: str = "",
) -> Example:
    """Name one physical item, one's own or of unknown owner, and coarsely where it was found.

    Errors: InvalidField, InTheFuture.
    """
    member = active(by)
    where = wording.coarse_place(country, region)
    example = Example.objects.create(
        release=release.survivor,
        owner=member if mine else None,
        condition=wording.choice("condition", condition, Condition),
        found_case=wording.line("found_case", found_case, 40, required=False),
        found_shop=wording.line("found_shop", found_shop, 60, required=False),
        found_month=wording.past_month("found_month", found_month, at),
        country=where[0],
        region=where[1],
        added_by=member,
        added_at=at,
    )
    detail = {
        "id": example.public_id,
        "owner": example.owner.public_id if example.owner else None,
        "condition": example.condition,
        "case": example.found_case or None,
        "shop": example.found_shop or None,
        "month": example.found_month.strftime("%Y-%m") if example.found_month else None,
        "release": example.release.public_id,
    }
    JournalEntry.objects.record(by=member, verb="example.added", about=example, at=at, detail=detail)
    return example


def attached_already(photo: Photo) -> Photo | None:
    """The photo that shows the same picture in the same place.

    Errors: ImageRefused when the member offers again what a moderator took down, or anybody what the law withholds.
    """
    same = Photo.objects.filter(Q(upload_digest=photo.upload_digest) | Q(digest=photo.digest))
    if same.filter(Q(owner=photo.owner) | Q(withheld_by_law=True), taken_down_at__isnull=False).exists():
        raise ImageRefused(Sentence("A moderator took this picture down. Send another one."), field="data")
    if photo.submission:
        return same.shown().filter(submission=photo.submission).first()
    if photo.dispute:
        return same.shown().filter(dispute=photo.dispute).first()
    return same.shown().filter(sighting=photo.sighting).first()


def showable(
    examples: Iterable[Example], release: Release | None, member: Member, field: str = "examples"
) -> list[Example]:
    """The examples, each once. One may picture one's own, and items whose owner is unknown.

    Errors: InvalidField for an example of another release, or of another member: proof is not borrowed.
    """
    shown = list({example.pk: example for example in examples}.values())
    for example in shown:
        remedy = ""
        if release is None:
            remedy = Sentence("Choose the release of the report first.")
        elif example.release.survivor != release:
            remedy = Sentence("Choose examples of %(release)s.", release=release)
        elif example.owner_id not in (None, member.pk):
            remedy = Sentence("It belongs to another member. Name your own, or one of unknown owner.")
        if remedy:
            raise InvalidField(field, example.public_id, remedy)
    return shown


def show_only(photo: Photo, examples: Sequence[Example]) -> None:
    """Replace the examples that a photo shows. Errors: InvalidField where something on it names one left out."""
    others = photo.photo_examples.exclude(example__in=examples)
    marked = Mark.objects.standing().filter(photo=photo, example__in=others.values("example")).first()
    if marked:
        remedy = Sentence("A mark on this photo names it. Take the mark back first.")
        raise InvalidField("examples", marked.example.public_id, remedy)
    measured = (
        Measurement.objects.standing().filter(photo=photo, example__in=others.values("example")).first()
    )
    if measured:
        remedy = Sentence("A measurement on this photo names it. Take the measurement back first.")
        raise InvalidField("examples", measured.example.public_id, remedy)
    others.delete()
    rows = [PhotoExample(photo=photo, example=example) for example in examples]
    PhotoExample.objects.bulk_create(rows, ignore_conflicts=True)


def settle_if_published(photo: Photo, release: Release | None, at: datetime) -> None:
    if release is not None and photo.is_published:
        settle_release(release=release, at=at)
