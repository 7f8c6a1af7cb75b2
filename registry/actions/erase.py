"""Erase what is personal of a member, at their wish. What they said of variants stays, under their public id alone."""

from __future__ import annotations

from datetime import datetime

from allauth.account.models import EmailAddress
from allauth.mfa.models import Authenticator
from django.contrib.admin.models import LogEntry
from django.contrib.contenttypes.models import ContentType
from django.db.models import Q

from registry.errors import InvalidField
from registry.methods import reasons
from registry.models import (
    AddressHint,
    CabinetItem,
    Concern,
    Dispute,
    Example,
    GlossReading,
    HeldDispute,
    Hunt,
    JournalEntry,
    JournalSecret,
    KeptReply,
    Mark,
    Measurement,
    Member,
    PendingDeed,
    Photo,
    Remark,
    RoleGrant,
    Sighting,
    Statement,
    Submission,
    Token,
    Vote,
    Watch,
)
from registry.sentences import Sentence

from .admission import active
from .discard import drop_photos
from .journalled import journalled
from .people import judge_founding
from .sign_out import sign_out_everywhere

CREDITS = ("uncredited", "keep")
UNSAID = str(reasons.UNSAID)
ABOUT = (Submission, Photo, Mark, Measurement, GlossReading, Example, Sighting, Statement, Dispute)
"""Things of a member that journal lines are about; with the column that says whose each is."""
OWNER = {
    Submission: "author", Photo: "owner", Mark: "by", Measurement: "by", GlossReading: "by",
    Example: "added_by", Sighting: "by", Statement: "author", Dispute: "opened_by",
}  # fmt: skip


@journalled
def erase_member(*, by: Member, at: datetime, credit: str = "uncredited") -> Member:
    """Close one's own account and forget the person behind it; not to be undone.

    Gone are name, address, password, sessions, tokens, cabinet, unsent reports with their photos, and words in notes,
    captions and reasons, in the journal too. Claims, votes, examples, marks, sightings and photos of sent reports
    stay, so that no standing, tally or edition moves. Photos name no owner then, or where `credit` is `keep` still
    the name, which stays taken. Roles end, as when a moderator takes them. Errors: AccountClosed, InvalidField.
    """
    if credit not in CREDITS:
        raise InvalidField("credit", credit, Sentence("Use: %(ones)s.", ones=", ".join(CREDITS)))
    member = active(by)
    forget_words_in_journal(member)
    drop_drafts(member)
    drop_access(member)
    unsay(member)
    RoleGrant.objects.filter(member=member, revoked_at=None).update(revoked_at=at)
    forget_person(member, at, keeps_credit=credit == "keep")
    detail = {"member": member.public_id, "credit": credit}
    JournalEntry.objects.record(by=member, verb="member.erased", about=member, at=at, detail=detail)
    judge_founding(at)
    return member


def forget_person(member: Member, at: datetime, keeps_credit: bool) -> None:
    member.erased_at, member.keeps_credit = at, keeps_credit
    member.email = f"{member.public_id}@erased.invalid"  # .invalid leads nowhere, for ever: RFC 2606
    if not keeps_credit:
        member.display_name = f"former contributor {member.shown_id}"
    member.is_active = member.is_staff = member.is_superuser = False
    member.last_login = None
    member.set_unusable_password()
    member.save()
    member.groups.clear()
    member.user_permissions.clear()
    member.__dict__.pop("roles", None)


def drop_access(member: Member) -> None:
    """Sessions, tokens, addresses, kept answers, cabinet and hunt, what they follow, what the admin pages noted."""
    sign_out_everywhere(member)
    EmailAddress.objects.filter(user=member).delete()
    Authenticator.objects.filter(user=member).delete()
    for model in (Token, KeptReply, CabinetItem, Hunt, Watch, AddressHint):
        model._default_manager.filter(member=member).delete()
    about_them = Q(content_type=ContentType.objects.get_for_model(Member), object_id=str(member.pk))
    LogEntry.objects.filter(Q(user=member) | about_them).delete()


def drop_drafts(member: Member) -> None:
    """Reports that were never sent, with their photos."""
    unsent = Submission.objects.filter(author=member, sent_at=None)
    drop_photos(Photo.objects.filter(submission__in=unsent))
    unsent.delete()


def unsay(member: Member) -> None:
    """Words beside contributions. A source or a place of finding is evidence and stays."""
    Submission.objects.filter(author=member).update(content={}, question="", closed_as="")
    Photo.objects.filter(owner=member).update(caption="", captured_on=None)
    Vote.objects.filter(by=member).update(note="")
    Mark.objects.filter(by=member).update(note="")
    GlossReading.objects.filter(by=member).update(instrument="")
    Remark.objects.filter(by=member).delete()
    Sighting.objects.filter(by=member).update(note="")
    Dispute.objects.filter(opened_by=member).update(reason=UNSAID)
    HeldDispute.objects.filter(opened_by=member).update(reason=UNSAID)
    HeldDispute.objects.filter(decided_by=member).exclude(decline_reason="").update(decline_reason=UNSAID)
    Concern.objects.filter(closed_by=member).update(reason=UNSAID)
    PendingDeed.objects.filter(asked_by=member).update(reason=UNSAID)
    PendingDeed.objects.filter(detail__member=member.public_id).update(words=UNSAID)
    Dispute.objects.filter(closed_by=member).exclude(closing_reason="").update(closing_reason=UNSAID)


def forget_words_in_journal(member: Member) -> None:
    """What lines by them, or about them or theirs, said in words; the commitments stay, and so the chain."""
    lines = Q(entry__by=member) | Q(entry__about_kind="member", entry__about_id=member.public_id)
    for model in ABOUT:
        theirs = model._default_manager.filter(**{OWNER[model]: member}).values("public_id")
        lines |= Q(entry__about_kind=model._meta.model_name, entry__about_id__in=theirs)
    JournalSecret.objects.filter(lines).delete()
