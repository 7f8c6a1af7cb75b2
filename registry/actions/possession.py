"""A report's code, written on paper in the picture: asked for where the author has the item, seen by reviewers.

It changes no standing. Nobody in a shop is asked for it: photographs of sightings and disputes have no code.
"""

from __future__ import annotations

from datetime import datetime

from registry.errors import (
    AlreadyClosed,
    ConflictDeclared,
    InvalidField,
    NotFound,
    OwnSubmission,
    RoleRequired,
)
from registry.methods.shot_code import mint_code, parse_code, show_code, was_good
from registry.models import (
    CodeSeen,
    JournalEntry,
    Member,
    Photo,
    Role,
    ShotCode,
    Submission,
    SubmissionStatus,
)
from registry.queries.reviewers import linked_to
from registry.sentences import Sentence

from .admission import active, refuse_by_one_step
from .journalled import journalled


@journalled
def give_code(*, submission: Submission, by: Member, at: datetime) -> ShotCode:
    """The code to write on paper for one's own report: the one given out already, or after 14 days another.

    Errors: NotFound for another member's report, AlreadyClosed for one that was withdrawn.
    """
    member = active(by)
    report = Submission.objects.select_for_update().filter(pk=submission.pk, author=member).first()
    if report is None:
        raise NotFound(Sentence("There is no such report."), field="submission")
    if report.status == SubmissionStatus.WITHDRAWN:
        raise AlreadyClosed(Sentence("This report was withdrawn. Start a new one."), field="submission")
    given = report.shot_codes.order_by("-issued_at", "-pk").first()
    if given is not None and was_good(given.issued_at, at):
        return given
    code = ShotCode.objects.create(submission=report, code=mint_code(), issued_at=at)
    JournalEntry.objects.record(by=member, verb="submission.code_given", about=report, at=at)
    return code


@journalled
def see_code(*, photo: Photo, by: Member, at: datetime, code: str) -> CodeSeen:
    """A reviewer read this code in the picture; once for each reviewer and picture, again is the same.

    Errors: RoleRequired, OwnSubmission for an own picture, ConflictDeclared for that of somebody linked, NotFound for
    a draft's, AlreadyClosed where it was taken down, InvalidField for what is no code, or not one that this report had
    when the picture came in.
    """
    reviewer = active(by)
    if not photo.is_published and photo.owner_id != reviewer.pk:
        raise NotFound(Sentence("There is no such photo."), field="photo")
    refuse_by_one_step(reviewer)
    if not reviewer.is_reviewer:
        raise RoleRequired(
            Sentence("Only reviewers say that they see a code. A moderator can grant the role."),
            role=Role.REVIEWER.value,
        )
    if photo.owner_id == reviewer.pk:
        raise OwnSubmission(Sentence("This is your own picture: others say whether they see the code in it."))
    if photo.owner_id in linked_to(reviewer):
        raise ConflictDeclared(
            Sentence(
                "You are declared to belong together with whose picture this is: others say whether "
                "they see the code."
            )
        )
    photo = Photo.objects.select_for_update(of=("self",)).get(pk=photo.pk)
    if photo.taken_down_at:
        raise AlreadyClosed(Sentence("This photo was taken down by a moderator."))
    refuse_other_code(photo, code)
    seen, is_new = CodeSeen.objects.get_or_create(photo=photo, by=reviewer, defaults={"at": at})
    if is_new:
        detail = {"id": photo.public_id}
        JournalEntry.objects.record(by=reviewer, verb="photo.code_seen", about=photo, at=at, detail=detail)
    return seen


def refuse_other_code(photo: Photo, text: str) -> None:
    """Errors: InvalidField."""
    if photo.submission is None:
        raise InvalidField("code", text, Sentence("Only photographs of reports carry a code."))
    try:
        code = parse_code(text)
    except ValueError as fault:
        raise InvalidField("code", text, fault.args[0]) from None
    given = photo.submission.shot_codes.filter(code=code).first()
    if given is None:
        remedy = Sentence(
            "It is not a code of this report. Compare it with the paper again; another report's "
            "does not count."
        )
        raise InvalidField("code", show_code(code), remedy)
    if not was_good(given.issued_at, photo.added_at):
        remedy = Sentence(
            "It was more than 14 days old when the picture came in, or younger than it, and does not count."
        )
        raise InvalidField("code", show_code(code), remedy)
