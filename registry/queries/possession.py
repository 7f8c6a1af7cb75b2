"""Who read a report's code in its pictures, in words; and the code that a report has now."""

from __future__ import annotations

from datetime import datetime

from django.db.models import Count, Exists, IntegerField, OuterRef, QuerySet, Subquery
from django.db.models.functions import Coalesce

from registry.methods.shot_code import was_good
from registry.models import CodeSeen, Member, Photo, ShotCode, Submission
from registry.sentences import counted


def with_codes_seen(photos: QuerySet[Photo]) -> QuerySet[Photo]:
    """Each with how many reviewers saw its report's code in it, as `code_seen_by`. Queries: none of its own."""
    return photos.annotate(code_seen_by=codes_seen("pk"))


def codes_seen(photo: str) -> Coalesce:
    """How many reviewers saw it in the photo that this field names, to annotate a row with."""
    seen = CodeSeen.objects.filter(photo=OuterRef(photo)).order_by().values("photo")
    counted = Subquery(seen.annotate(n=Count("pk")).values("n"), output_field=IntegerField())
    return Coalesce(counted, 0)


def code_words(photo: Photo) -> str:
    """`3 reviewers saw this report’s code in the picture.`, as far as it was noted. Queries: none."""
    seen = getattr(photo, "code_seen_by", 0)
    if not seen:
        return ""
    return counted(
        "%(n)s reviewer saw this report’s code in the picture.",
        "%(n)s reviewers saw this report’s code in the picture.",
        seen,
    )


def may_see_code(photo: Photo, reader: Member) -> bool:
    """The reader may still say that the report's code is in this picture: there is one to see. Queries: 1."""
    if photo.submission_id is None or photo.owner_id == reader.pk or not reader.is_reviewer:
        return False
    mine = CodeSeen.objects.filter(photo=photo, by=reader)
    given = ShotCode.objects.filter(submission=photo.submission_id).annotate(is_seen=Exists(mine))
    return given.filter(is_seen=False).exists()


def current_code(submission: Submission, at: datetime) -> ShotCode | None:
    """The code that a report has now, unless it is more than 14 days old. Queries: 1."""
    given = submission.shot_codes.order_by("-issued_at", "-pk").first()
    return given if given is not None and was_good(given.issued_at, at) else None
