"""Mark the region of a photo where an example shows a claim."""

from __future__ import annotations

import re
from datetime import datetime

from registry.errors import AlreadyClosed, InvalidField, NotFound, NotPermitted
from registry.models import Claim, Example, JournalEntry, Mark, Member, Photo, PhotoExample
from registry.sentences import Sentence

from . import wording
from .admission import active
from .colours import measure_later
from .journalled import journalled
from .settle import locked, refuse_gone, settle_release

FRAGMENT = re.compile(r"(?:xywh=)?percent:" + ",".join([r"([0-9]{1,3}(?:\.[0-9]{1,6})?)"] * 4))


def parse_fragment(text: str) -> tuple[int, int, int, int]:
    """Hundredths of a percent from `xywh=percent:x,y,w,h` (Media Fragments URI 1.0, section 4.2.2).

    Errors: InvalidField when it is not of that form or does not lie inside the picture.
    """
    match = FRAGMENT.fullmatch(text.strip()[:80])
    if match is None:
        raise InvalidField(
            "xywh", text, Sentence("Write percent:left,top,width,height with numbers from 0 to 100.")
        )
    x, y, w, h = (round(float(part) * 100) for part in match.groups())
    return inside((x, y, w, h))


def inside(xywh: tuple[int, int, int, int]) -> tuple[int, int, int, int]:
    x, y, w, h = xywh
    if w < 1 or h < 1 or x < 0 or y < 0 or x + w > 10_000 or y + h > 10_000:
        shown = ",".join(f"{part / 100:g}" for part in xywh)
        raise InvalidField(
            "xywh",
            f"percent:{shown}",
            Sentence(
                "The mark must lie inside the picture: left plus width, and top plus height, are at most 100."
            ),
        )
    return xywh


@journalled
def mark_region(
    *,
    photo: Photo,
    example: Example,
    claim: Claim,
    xywh: tuple[int, int, int, int],
    by: Member,
    at: datetime,
    note: str = "",
    within_report: bool = False,
) -> Mark:
    """Any member may mark what a published photo shows. `xywh` is in hundredths of a percent of the picture.

    Errors: InvalidField when the mark leaves the picture or the photo does not show the example, AlreadyClosed when
    the claim has ended, IdentityMoved when its variant is gone, NotFound for the photo of a draft.
    `within_report`: the report that encloses it writes the journal line and settles.
    """
    active(by)
    release = locked(claim.variant.release) if not within_report else claim.variant.release
    claim.refresh_from_db(fields=["closed_at"])
    refuse_gone(claim)
    if not claim.is_open:
        raise AlreadyClosed(
            Sentence("This claim has ended, so nothing more can be marked on it."), field="claim"
        )
    if photo.taken_down_at or not (within_report or photo.is_published):
        raise NotFound(Sentence("There is no such photo."), field="photo")
    if example.release_id != release.pk:
        raise InvalidField(
            "example", example.public_id, Sentence("Choose an example of %(release)s.", release=release)
        )
    if not PhotoExample.objects.filter(photo=photo, example=example).exists():
        raise InvalidField(
            "example", example.public_id, Sentence("Say first that the photo shows this example.")
        )
    x, y, w, h = inside(xywh)
    mark = Mark.objects.create(
        photo=photo,
        example=example,
        claim=claim,
        x=x,
        y=y,
        w=w,
        h=h,
        by=by,
        at=at,
        note=wording.line("note", note, 200, required=False),
    )
    measure_later(photo, at)
    if not within_report:
        detail = {"claim": claim.public_id, "example": example.public_id, "photo": photo.public_id}
        JournalEntry.objects.record(by=by, verb="mark.added", about=mark, at=at, detail=detail)
        settle_release(release=release, at=at)
    return mark


@journalled
def remove_mark(*, mark: Mark, by: Member, at: datetime, reason: str) -> Mark:
    """Take back a mark that shows the wrong thing: its maker or a moderator. The row stays, marked as removed."""
    member = active(by)
    if mark.by_id != by.pk and not member.is_moderator:
        raise NotPermitted(
            Sentence("Only who made a mark, or a moderator, can take it back. Dispute the claim instead.")
        )
    release = locked(mark.claim.variant.release)
    mark.refresh_from_db(fields=["removed_at"])
    if mark.removed_at:
        raise AlreadyClosed(Sentence("This mark has already been taken back."))
    mark.removed_at = at
    mark.save(update_fields=["removed_at"])
    detail = {
        "claim": mark.claim.public_id,
        "example": mark.example.public_id,
        "photo": mark.photo.public_id,
        "reason": wording.line("reason", reason, 300),
    }
    JournalEntry.objects.record(by=by, verb="mark.removed", about=mark, at=at, detail=detail)
    settle_release(release=release, at=at)
    return mark
