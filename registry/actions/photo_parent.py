"""What a photo hangs on: one report, dispute or sighting; and whether its owner may still add to that."""

from __future__ import annotations

from registry.errors import AlreadyClosed, IdentityMoved, NotFound, NotPermitted
from registry.models import Outcome, Photo, Release, Submission, SubmissionStatus
from registry.models.base import in_english
from registry.sentences import Sentence

from .settle import locked


def release_of(photo: Photo) -> Release | None:
    """What the photo is evidence on; a draft may not know yet."""
    release = None
    if photo.submission:
        release = photo.submission.release
    elif photo.dispute and photo.dispute.claim:
        release = photo.dispute.claim.variant.release
    elif photo.dispute and photo.dispute.statement:
        release = photo.dispute.statement.release
    elif photo.sighting:
        release = photo.sighting.release
    return release.survivor if release else None


def lock_parent(photo: Photo) -> Release | None:
    """Read anew what the photo hangs on, lock it with its release, and refuse where it has ended meanwhile.

    Locks are taken in the order of send_submission: the report first, then the release.
    """
    if photo.submission:
        photo.submission = Submission.objects.select_for_update().get(pk=photo.submission.pk)
    release = release_of(photo)
    if release is not None and photo.is_published:
        locked(release)
    if photo.dispute:
        photo.dispute.refresh_from_db(fields=["outcome"])
    if photo.sighting:
        photo.sighting.refresh_from_db(fields=["withdrawn_at"])
    refuse_unless_open(photo)
    return release


def refuse_unless_open(photo: Photo) -> None:
    """Errors: NotFound, NotPermitted, AlreadyClosed or IdentityMoved where its owner may not add it."""
    dispute, sighting = photo.dispute, photo.sighting
    if photo.submission:
        refuse_unless_own(photo, photo.submission)
    elif dispute and dispute.outcome != Outcome.OPEN:
        raise AlreadyClosed(
            Sentence(
                "This dispute has ended: %(outcome)s.", outcome=in_english(Outcome(dispute.outcome).label)
            ),
            field="dispute",
        )
    elif sighting and sighting.by_id != photo.owner_id:
        raise NotPermitted(Sentence("Only who reported a sighting adds photos to it."), field="sighting")
    elif sighting and sighting.withdrawn_at:
        raise AlreadyClosed(Sentence("This sighting was taken back. Report it anew."), field="sighting")


def refuse_unless_own(photo: Photo, report: Submission) -> None:
    if report.author_id != photo.owner_id:
        if photo.is_published:
            raise NotPermitted(Sentence("Only its author adds photos to a report."), field="submission")
        raise NotFound(Sentence("There is no such report."), field="submission")
    if report.status == SubmissionStatus.WITHDRAWN:
        raise AlreadyClosed(Sentence("This report was withdrawn. Start a new one."), field="submission")
    if report.variant and report.variant.is_gone:
        raise IdentityMoved(field="submission")


def barred_claims(photo: Photo) -> list[str]:
    """Claims that the photo's owner may no longer vote on: those of the report, or a dispute's rival."""
    if photo.submission:
        return list(photo.submission.claims.order_by("pk").values_list("public_id", flat=True))
    rival = photo.dispute.rival if photo.dispute else None
    return [rival.public_id] if rival else []
