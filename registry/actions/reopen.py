"""What was decided stays decided until something new is shown, or a moderator asks again."""

from __future__ import annotations

from datetime import datetime

from django.db.models import F, Q

from registry.errors import DecidedBefore, InvalidField, NotFound
from registry.models import Claim, Dispute, JournalEntry, Member, Outcome, Photo, Release, State
from registry.models.base import in_english
from registry.sentences import Sentence

from .photo_parent import release_of


def refuse_decided(
    claim: Claim, state: State, release: Release, by: Member, photo: Photo | None, upload: str | None
) -> None:
    """Errors: DecidedBefore where the same state was turned down, taken back or corrected away on this variant, and
    the picture offered is not one taken into the registry since; NotFound and InvalidField for a photo of elsewhere.
    """
    if photo is not None:
        check_photo(photo, release, by)
    decided = last_decided(claim, state)
    if decided is None or decided.closed_at is None or by.is_moderator:
        return
    if not is_new(photo, upload, decided.closed_at):
        raise DecidedBefore(
            Sentence(
                "A dispute (%(id)s) of %(trait)s: %(state)s ended as %(outcome)s. Bring a photograph "
                "taken into the registry since then, or ask a moderator.",
                id=decided.shown_id,
                trait=state.trait,
                state=state,
                outcome=in_english(Outcome(decided.outcome).label),
            ),
            field="photo",
            dispute=decided.public_id,
        )


def last_decided(claim: Claim, state: State) -> Dispute | None:
    """The last dispute on it in which the state lost. One that a moderator's event cut short decided nothing."""
    lost = Q(outcome=Outcome.UPHELD) | Q(outcome=Outcome.WITHDRAWN, closed_by=F("opened_by"))
    same = State.objects.filter(Q(pk=state.survivor.pk) | Q(merged_into=state.survivor))
    again = Q(lost, rival__state__in=same) | Q(outcome=Outcome.CORRECTED, claim__state__in=same)
    return Dispute.objects.filter(again, claim__variant=claim.variant_id).order_by("closed_at", "pk").last()


def read_anew(photo: Photo | None) -> Photo | None:
    """The photo as it is now, under the lock."""
    related = ("owner", "submission__release", "dispute__claim__variant__release", "sighting__release")
    return Photo.objects.select_related(*related).get(pk=photo.pk) if photo else None


def check_photo(photo: Photo, release: Release, by: Member) -> None:
    if photo.taken_down_at or not (photo.is_published or photo.owner_id == by.pk):
        raise NotFound(Sentence("There is no such photo."), field="photo")
    if release_of(photo) != release:
        raise InvalidField(
            "photo", photo.public_id, Sentence("Name a photograph of %(release)s.", release=release)
        )


def is_new(photo: Photo | None, upload: str | None, since: datetime) -> bool:
    """One of the two is a picture that was not there yet; sent again, a picture is as old as it was."""
    old = Photo.objects.filter(added_at__lte=since)
    if upload is not None:
        return not old.filter(upload_digest=upload).exists()
    return (
        photo is not None
        and photo.added_at > since
        and not old.filter(Q(digest=photo.digest) | Q(upload_digest=photo.upload_digest)).exists()
    )


def bring(photo: Photo, dispute: Dispute, by: Member, at: datetime) -> None:
    """A published photo that no dispute carries yet is carried by this one; its owner may not vote on the rival."""
    if photo.dispute_id or not photo.is_published:
        return
    photo.dispute = dispute
    photo.save(update_fields=["dispute"])
    detail = {"id": dispute.public_id, "photo": photo.public_id, "owner": photo.owner.public_id}
    JournalEntry.objects.record(by=by, verb="dispute.photo_added", about=dispute, at=at, detail=detail)
