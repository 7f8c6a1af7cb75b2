"""A quick note: a draft that its author opens to others, who say what differs there. Nothing of it is evidence."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from registry.errors import AlreadyClosed, InvalidField, NotFound, NotPermitted
from registry.methods.canon import canonical, whole_digest
from registry.models import JournalEntry, Member, Photo, Remark, State, Submission
from registry.sentences import Sentence

from . import wording
from .admission import active
from .drafts import own_draft
from .journalled import journalled
from .mark import inside
from .quotas import admit

SENTENCE = 200


@journalled
def open_draft(*, submission: Submission, by: Member, at: datetime) -> Submission:
    """Show an own draft's pictures to everybody, and ask by its note as it stands what differs there.

    Errors: NotFound, InvalidField without a picture or a note, AlreadyClosed where it is open, or where a moderator
    closed just what would be shown again.
    """
    draft = own_draft(submission, by)
    if draft.opened_at:
        raise AlreadyClosed(Sentence("This draft is open to others already."))
    if not draft.photos.shown().exists():
        raise InvalidField("photos", 0, Sentence("Add a picture first: others answer by what they see."))
    draft.question = wording.line("note", draft.content.get("note"), SENTENCE)
    if draft.closed_as == as_shown(draft):
        raise AlreadyClosed(
            Sentence(
                "A moderator closed this. Change its note, its pictures or which one it is, then ask again."
            )
        )
    draft.opened_at, draft.closed_as = at, ""
    draft.save(update_fields=["opened_at", "question", "closed_as"])
    JournalEntry.objects.record(by=by, verb="submission.opened", about=draft, at=at)
    return draft


@journalled
def close_draft(*, submission: Submission, by: Member, at: datetime, reason: str = "") -> Submission:
    """Its author, or a moderator who says why, shows an opened draft to others no longer. What they said is kept.

    After a moderator, its author opens it again only once something of what it showed is another.
    Errors: NotFound, NotPermitted, AlreadyClosed, InvalidField for a moderator's missing reason.
    """
    member = active(by)
    draft = opened(submission.pk)
    is_author = draft.author_id == member.pk
    if not is_author and not member.is_moderator:
        raise NotPermitted(Sentence("Only its author, or a moderator, closes an opened draft."))
    said = wording.line("reason", reason, 300, required=not is_author)
    draft.opened_at, draft.closed_as = None, "" if is_author else as_shown(draft)
    draft.save(update_fields=["opened_at", "closed_as"])
    detail = {"id": draft.public_id, "reason": said}
    JournalEntry.objects.record(by=member, verb="submission.closed", about=draft, at=at, detail=detail)
    return draft


@journalled
def add_remark(
    *,
    photo: Photo,
    by: Member,
    at: datetime,
    xywh: tuple[int, int, int, int],
    state: State | None = None,
    sentence: str = "",
) -> Remark:
    """Any member says what they see in a region of an opened draft's picture: a state of its release, or a sentence.

    Errors: NotFound where it is not open, TooMany, InvalidField.
    """
    member = admit(by, "remarks", at)
    draft = opened(photo.submission_id)
    if not draft.photos.shown().filter(pk=photo.pk).exists():
        raise NotFound(Sentence("There is no such picture."), field="photo")
    said = wording.line("sentence", sentence, SENTENCE, required=state is None)
    state = state.survivor if state else None
    if state and not state.trait.adoptions.filter(release=draft.release_id).exists():
        raise InvalidField(
            "state", state.public_id, Sentence("Choose a state of the release that the draft is about.")
        )
    x, y, w, h = inside(xywh)
    remark = Remark.objects.create(
        photo=photo, by=member, at=at, x=x, y=y, w=w, h=h, state=state, sentence=said
    )
    detail = {"photo": photo.public_id, "state": state.public_id if state else None}
    JournalEntry.objects.record(by=member, verb="remark.added", about=remark, at=at, detail=detail)
    return remark


@journalled
def remove_remark(*, remark: Remark, by: Member, at: datetime) -> Remark:
    """Who made it, the draft's author or a moderator takes a remark away. Errors: NotPermitted, AlreadyClosed."""
    member = active(by)
    it = Remark.objects.select_for_update(of=("self",)).select_related("photo").get(pk=remark.pk)
    if member.pk not in (it.by_id, it.photo.owner_id) and not member.is_moderator:
        raise NotPermitted(
            Sentence("Only who made a remark, the picture's owner or a moderator takes it away.")
        )
    if it.removed_at:
        raise AlreadyClosed(Sentence("This remark has already been taken away."))
    it.removed_at = at
    it.save(update_fields=["removed_at"])
    detail = {"photo": it.photo.public_id}
    JournalEntry.objects.record(by=member, verb="remark.removed", about=it, at=at, detail=detail)
    return it


def as_shown(draft: Submission) -> str:
    """Digest of what others see of an opened draft: its question, which one it is about, its pictures."""
    seen = {
        "question": draft.question,
        "about": [draft.casting_id, draft.release_id],
        "pictures": list(draft.photos.shown().order_by("pk").values_list("public_id", flat=True)),
    }
    return whole_digest(canonical(seen, nulls=True))


def opened(key: Any) -> Submission:
    """The draft, locked, while it is open to others. Errors: NotFound."""
    draft = Submission.objects.opened().select_for_update(of=("self",)).filter(pk=key).first()
    if draft is None:
        raise NotFound(Sentence("There is no such opened draft. Its author may have sent or closed it."))
    return draft
