"""What wrote each revision of a variant, and on what evidence, gathered for its W3C PROV document."""

from __future__ import annotations

from collections import defaultdict
from typing import Any

from registry.methods import prov
from registry.models import Claim, Dispute, Photo, Revision, Submission, Variant, is_about


def provenance_of(variant: Variant) -> dict[str, Any]:
    """The document. Queries: 6, whatever the size."""
    revisions = list(
        Revision.objects.filter(variant=variant).select_related("author", "parent").order_by("number")
    )
    claims = list(
        Claim.objects.filter(variant=variant).select_related("rival_in", "submission").order_by("pk")
    )
    sent = Submission.objects.filter(variant=variant, sent_at__isnull=False).select_related("author")
    disputes = Dispute.objects.filter(claim__variant=variant).select_related("opened_by", "closed_by")
    photos = list(Photo.objects.filter(is_about([variant])).select_related("owner").order_by("pk"))
    written = written_by(revisions, claims)
    activities = [
        *(of_report(report, photos, revisions, written) for report in sent.order_by("sent_at", "pk")),
        *(of_dispute(dispute, photos, revisions) for dispute in disputes.order_by("pk")),
        *of_moderators(variant, revisions),
        *(of_revision(it) for it in revisions if it.number not in written),
    ]
    return prov.provenance(
        variant.public_id,
        [revision_source(it, written) for it in revisions],
        activities,
        [photo_source(photo) for photo in photos],
    )


def written_by(revisions: list[Revision], claims: list[Claim]) -> dict[int, str]:
    """By number of a revision: the activity that wrote it, where its new claims came with a report or a dispute."""
    new: dict[int, list[Claim]] = defaultdict(list)
    for claim in claims:
        if claim.since_revision:
            new[claim.since_revision].append(claim)
    found = {}
    for revision in revisions:
        for claim in new[revision.number]:
            dispute = getattr(claim, "rival_in", None)
            if dispute is not None and dispute.closed_at and dispute.closed_at <= revision.at:
                found[revision.number] = f"dispute-{dispute.public_id}"
            elif claim.submission is not None and claim.opened_at == revision.at:
                found.setdefault(revision.number, f"submission-{claim.submission.public_id}")
    return found


def revision_source(revision: Revision, written: dict[int, str]) -> prov.RevisionSource:
    return prov.RevisionSource(
        number=revision.number,
        title=revision.title,
        digest=revision.digest,
        at=revision.at,
        activity=written.get(revision.number, f"revision-{revision.number}"),
        author=revision.author.public_id if revision.author else None,
        parent=revision.parent.number if revision.parent else None,
    )


def photo_source(photo: Photo) -> prov.PhotoSource:
    is_shown = photo.taken_down_at is None
    return prov.PhotoSource(
        id=photo.public_id,
        owner=photo.owner.public_id,
        added_at=photo.added_at,
        digest=photo.digest if is_shown else None,
        taken_down_at=photo.taken_down_at,
    )


def of_report(
    report: Submission, photos: list[Photo], revisions: list[Revision], written: dict[int, str]
) -> prov.ActivitySource:
    assert report.sent_at is not None
    name = f"submission-{report.public_id}"
    wrote = [it for it in revisions if written.get(it.number) == name]
    return prov.ActivitySource(
        id=name,
        kind="submission",
        started_at=min(report.created_at, report.sent_at),
        ended_at=report.sent_at,
        by=(report.author.public_id,),
        reason=wrote[0].reason if wrote else "",
        used_photos=tuple(photo.public_id for photo in photos if photo.submission_id == report.pk),
        used_revisions=tuple(it.parent.number for it in wrote if it.parent),
    )


def of_dispute(dispute: Dispute, photos: list[Photo], revisions: list[Revision]) -> prov.ActivitySource:
    standing = [it.number for it in revisions if it.at <= dispute.opened_at]
    by = [dispute.opened_by] + ([dispute.closed_by] if dispute.closed_by else [])
    return prov.ActivitySource(
        id=f"dispute-{dispute.public_id}",
        kind="dispute",
        started_at=dispute.opened_at,
        ended_at=dispute.closed_at,
        by=tuple(dict.fromkeys(member.public_id for member in by)),
        reason=f"{dispute.reason} {dispute.closing_reason}".strip(),
        used_photos=tuple(photo.public_id for photo in photos if photo.dispute_id == dispute.pk),
        used_revisions=tuple(standing[-1:]),
    )


def of_moderators(variant: Variant, revisions: list[Revision]) -> list[prov.ActivitySource]:
    """What moderators did to the variant as a whole. The latest, unless it restored it, ends the revision then."""
    events = list(variant.moderator_events.select_related("by").order_by("pk"))
    found = []
    for number, event in enumerate(events, start=1):
        standing = [it.number for it in revisions if it.at <= event.at][-1:]
        is_last = number == len(events) and event.kind != "restored"
        found.append(
            prov.ActivitySource(
                id=f"{event.kind}-{number}",
                kind="moderation",
                started_at=event.at,
                ended_at=event.at,
                by=(event.by.public_id,),
                reason=event.reason,
                used_revisions=tuple(standing),
                invalidated=tuple(standing) if is_last else (),
            )
        )
    return found


def of_revision(revision: Revision) -> prov.ActivitySource:
    """For a revision that neither a report nor a dispute wrote, such as after two details became one."""
    return prov.ActivitySource(
        id=f"revision-{revision.number}",
        kind="revision",
        started_at=revision.at,
        ended_at=revision.at,
        by=(revision.author.public_id,) if revision.author else (),
        reason=revision.reason,
        used_revisions=(revision.parent.number,) if revision.parent else (),
    )
