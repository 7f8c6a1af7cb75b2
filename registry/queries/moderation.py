"""What waits for a moderator: proposed things, concerns, disputes; whom and what they look up; who holds a role."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any, NamedTuple

from django.db.models import CharField, Count, F, OuterRef, QuerySet, Subquery, Value, Window
from django.db.models.functions import RowNumber

from registry.methods.identifiers import parse_id
from registry.models import (
    Casting,
    Claim,
    Concern,
    Dispute,
    Edition,
    HeldDispute,
    JournalEntry,
    Likeness,
    Member,
    ModeratorEvent,
    Pack,
    PendingDeed,
    Photo,
    Proposable,
    Release,
    Role,
    RoleGrant,
    SearchKind,
    State,
    Submission,
    SubmissionStatus,
    Trait,
    Variant,
    name_key,
)
from registry.sentences import Sentence

from .journal import details_as_read, reason_of
from .likenesses import lately_alike
from .paged import Page, one_page
from .search import find_exactly

KINDS: dict[str, tuple[type[Proposable], tuple[str, ...]]] = {
    "casting": (Casting, ("maker",)),
    "release": (Release, ("casting", "line")),
    "trait": (Trait, ("line", "casting")),
    "state": (State, ("trait",)),
    "pack": (Pack, ("line",)),
}
MOST = 100
LATELY = 12
TOLD_OF = {
    "member.suspended": Sentence("Suspended"),
    "member.reinstated": Sentence("Reinstated"),
    "role.granted": Sentence("Given a role"),
    "role.revoked": Sentence("A role taken away"),
}
"""Lines of the journal that a member's page for moderators tells, in words."""
HELD_RELATED = (
    "claim__trait__merged_into",
    "claim__state__merged_into",
    "claim__variant__release",
    "claim__author",
    "state",
    "statement__variant",
    "statement__other",
    "statement__author",
    "opened_by",
    "decided_by",
)


class Proposed(NamedTuple):
    """One thing that a report proposed; `by` is blank where nobody known did."""

    kind: str
    public_id: str
    name: str
    by: str


@dataclass
class ProposedKind:
    """The oldest proposed things of a kind, and how many there are."""

    kind: str
    things: list[Proposed]
    total: int


@dataclass(frozen=True)
class ModerationPage:
    proposed: list[ProposedKind]
    disputes: list[Dispute]
    deeds: list[PendingDeed]
    held: list[HeldDispute]
    concerns: list[Concern]
    alike: list[Likeness]
    events: list[ModeratorEvent]
    latest: Edition | None


def moderation_page(at: datetime) -> ModerationPage:
    """What waits, oldest first, and what moderators did of late. Queries: 8."""
    disputes = Dispute.objects.open().select_related(
        "claim__trait", "claim__state", "claim__variant", "rival__state", "opened_by"
    )
    events = ModeratorEvent.objects.select_related("variant", "into", "by", "seconded_by")
    return ModerationPage(
        proposed=proposed(),
        disputes=list(disputes.order_by("id")[:MOST]),
        deeds=list(PendingDeed.objects.waiting(at).select_related("asked_by").order_by("id")[:MOST]),
        held=list(HeldDispute.objects.held().select_related(*HELD_RELATED).order_by("id")[:MOST]),
        concerns=list(
            Concern.objects.open()
            .annotate(how_many=Count("members"))
            .select_related("claim")
            .order_by("id")[:MOST]
        ),
        alike=lately_alike(),
        events=list(events.order_by("-pk")[:LATELY]),
        latest=Edition.objects.order_by("-number").first(),
    )


TOLD = ("of_kind", "public_id", "name", "proposed_by__display_name", "proposed_by__erased_at")


def proposed() -> list[ProposedKind]:
    """Of each kind the oldest, as many of each as there is room for. Queries: 1."""
    parts = [
        proposed_of(kind)
        .annotate(nth=Window(RowNumber(), order_by="pk"), of_all=Window(Count("pk")))
        .values_list("nth", "of_all", *TOLD)
        for kind in KINDS
    ]
    rows = parts[0].union(*parts[1:], all=True).order_by("nth", "of_kind")
    found = {kind: ProposedKind(kind, [], 0) for kind in KINDS}
    for _, total, kind, *said in rows[:MOST]:
        found[kind].things.append(as_said(kind, *said))
        found[kind].total = total
    return [group for group in found.values() if group.things]


def all_proposed(kind: str, page: int) -> Page[Proposed]:
    """Of one kind, oldest first. Queries: 1."""
    rows = proposed_of(kind).order_by("pk").values_list(*TOLD)
    shown = one_page(rows, page, MOST)
    return replace(shown, items=[as_said(*said) for said in shown.items])


def proposed_of(kind: str) -> QuerySet[Any]:
    waiting = KINDS[kind][0]._default_manager.filter(acceptance="proposed")
    return waiting.annotate(of_kind=Value(kind, CharField()))


def as_said(kind: str, public_id: str, name: str, by: str | None, erased_at: datetime | None) -> Proposed:
    return Proposed(kind, public_id, name, str(Member(display_name=by, erased_at=erased_at)) if by else "")


def proposed_thing(kind: str, public_id: str) -> Proposable | None:
    """A row of one of the kinds that can be proposed. Queries: 1."""
    if kind not in KINDS:
        return None
    model, related = KINDS[kind]
    return model._default_manager.filter(public_id=public_id).select_related("proposed_by", *related).first()


def member_called(name: str) -> Member | None:
    """By display name, whatever its capitals and spaces. Queries: 1."""
    return Member.objects.filter(name_key=name_key(name)).first()


CAN_BE_TOLD_OF = {"photo": Photo, "variant": Variant, "submission": Submission}


@dataclass(frozen=True)
class ToldConcern:
    """What a member told of a photograph, a variant or an opened draft; no words where they were erased."""

    by: Member
    about: Photo | Variant | Submission | None
    words: str


def told_concern(concern: Concern) -> ToldConcern | None:
    """Queries: 3, or none."""
    if concern.told_by is None:
        return None
    model: Any = CAN_BE_TOLD_OF[concern.evidence["kind"]]
    about = model.objects.filter(public_id=concern.evidence["about"]).first()
    return ToldConcern(concern.told_by, about, reason_of("concern.told", concern))


@dataclass(frozen=True)
class ConcernPage:
    concern: Concern
    members: list[Member]
    claims: list[Claim]
    told: ToldConcern | None

    @property
    def named(self) -> dict[str, Member]:
        """The members by public id, as the evidence speaks of them."""
        return {member.public_id: member for member in self.members}


def concern_page(concern: Concern) -> ConcernPage:
    """Who and what a concern is about. Queries: 2, and 3 more where a member told it."""
    claims = Claim.objects.filter(public_id__in=concern.evidence.get("claims", []))
    related = ("trait__merged_into", "state__merged_into", "variant__release")
    return ConcernPage(
        concern,
        list(concern.members.order_by("pk")[:MOST]),
        list(claims.select_related(*related).order_by("pk")[:MOST]),
        told_concern(concern),
    )


@dataclass(frozen=True)
class Found:
    """What a moderator may have meant."""

    variants: list[Variant]
    photos: list[Photo]
    members: list[Member]

    @property
    def all(self) -> list[Any]:
        return [*self.variants, *self.photos, *self.members]


def looked_up(asked: str) -> Found:
    """Variants by id or words of their title, a photograph by id, a member by id or name. Queries: 3 or 4.

    Drafts are their owners' own, whatever a moderator knows of them.
    """
    try:
        public_id = parse_id(asked)
    except ValueError:
        titled = [entry.public_id for entry in find_exactly(asked, [SearchKind.VARIANT])]
        variants = Variant.objects.filter(public_id__in=titled).select_related("release").order_by("pk")
        member = member_called(asked)
        return Found(list(variants), [], [member] if member else [])
    return Found(
        list(Variant.objects.filter(public_id=public_id).select_related("release")),
        list(Photo.objects.published().filter(public_id=public_id).select_related("owner")),
        list(Member.objects.filter(public_id=public_id)),
    )


def roles_held() -> list[RoleGrant]:
    """Who holds which role. Queries: 1."""
    grants = RoleGrant.objects.filter(revoked_at=None).select_related("member", "granted_by")
    return list(grants.order_by("role", "member__display_name"))


class Told(NamedTuple):
    """What moderators decided of a member, in words."""

    at: datetime
    what: str
    by: Member | None
    reason: str


@dataclass(frozen=True)
class MemberPage:
    """A member, for moderators: what they hold, what was decided of them, what they sent last."""

    member: Member
    grants: list[RoleGrant]
    told: list[Told]
    reports: list[Submission]
    photos: list[Photo]


def member_page(member: Member) -> MemberPage:
    """Queries: 5."""
    reports = Submission.objects.filter(author=member, status=SubmissionStatus.SENT).select_related("variant")
    photos = Photo.objects.published().filter(owner=member)
    return MemberPage(
        member,
        list(member.role_grants.filter(revoked_at=None).order_by("role")),
        told_of(member),
        list(reports.order_by("-pk")[:LATELY]),
        list(photos.order_by("-pk")[:LATELY]),
    )


class Suspended(NamedTuple):
    """A member whose account is closed, and what was said of that, where the journal says."""

    member: Member
    told: Told | None


def suspended(page: int) -> Page[Suspended]:
    """Those suspended last come first. Queries: 3."""
    lines = JournalEntry.objects.filter(
        about_kind="member", about_id=OuterRef("public_id"), verb="member.suspended"
    )
    members = Member.objects.filter(is_active=False, erased_at=None)
    members = members.annotate(line=Subquery(lines.order_by("-pk").values("pk")[:1]))
    shown = one_page(members.order_by(F("line").desc(nulls_last=True), "pk"), page, MOST)
    said = JournalEntry.objects.filter(pk__in=[member.line for member in shown.items]).select_related("by")
    told = {line.about_id: it for line, it in zip(said, told_in(said), strict=True)}
    return replace(shown, items=[Suspended(member, told.get(member.public_id)) for member in shown.items])


def told_of(member: Member) -> list[Told]:
    """Newest first. Queries: 2."""
    about = JournalEntry.objects.filter(about_kind="member", about_id=member.public_id, verb__in=TOLD_OF)
    return told_in(about.select_related("by").order_by("-pk")[:MOST])


def told_in(lines: Iterable[JournalEntry]) -> list[Told]:
    """Queries: 1, beside those of the lines."""
    lines = list(lines)
    details = details_as_read(lines)
    return [Told(line.at, TOLD_OF[line.verb], line.by, said_in(details[line.number])) for line in lines]


def said_in(detail: dict[str, Any]) -> str:
    """The role in words, and the reason as far as it is still known."""
    role, reason = detail.get("role"), detail.get("reason")
    said = str(Role(role).label) if role in Role.values else role
    return ": ".join(part for part in (said, reason) if isinstance(part, str) and part)
