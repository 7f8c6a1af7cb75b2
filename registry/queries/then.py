"""A variant as it stood at one of its revisions or at any moment, and what differs between two such points.

Claims are fixed rows and revisions say which of them a variant had; what each stood for comes from the journal, which
keeps every change of standing.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import datetime

from django.db.models import Q

from registry.models import (
    Claim,
    ClaimStanding,
    Dispute,
    JournalEntry,
    Mark,
    Member,
    Photo,
    Release,
    Revision,
    Variant,
    VariantStanding,
)

NOT_STATED = "not stated"
SETTLED = "release.settled"


@dataclass(frozen=True)
class ClaimThen:
    """A claim at a moment: where it stood, the marks that showed it, the disputes open on it."""

    claim: Claim
    standing: str
    marks: list[Mark] = field(default_factory=list)
    disputes: list[Dispute] = field(default_factory=list)

    @property
    def standing_word(self) -> str:
        return str(ClaimStanding(self.standing).label)


@dataclass(frozen=True)
class Then:
    """A variant at a moment. A revision's moment is that of its writing."""

    revision: Revision
    at: datetime
    standing: str
    claims: list[ClaimThen]

    @property
    def standing_word(self) -> str:
        return str(VariantStanding(self.standing).label)


def then(variant: Variant, point: int | datetime) -> Then | None:
    """The variant as it stood; None where it had no such revision, or was not there yet. Queries: 5."""
    revisions = Revision.objects.filter(variant=variant).select_related("author", "parent")
    if isinstance(point, int):
        revision = revisions.filter(number=point).first()
    else:
        revision = revisions.filter(at__lte=point).order_by("-number").first()
    if revision is None:
        return None
    return as_it_was(variant, revision, revision.at if isinstance(point, int) else point)


def as_it_was(variant: Variant, revision: Revision, at: datetime) -> Then:
    """Queries: 4."""
    claims = (
        Claim.objects.filter(public_id__in=revision.claims)
        .select_related("trait__merged_into", "state__merged_into", "author", "submission")
        .order_by("-is_difference", "trait__place", "pk")
    )
    on_page = {claim.pk: claim for claim in claims}
    stood = standings_at(variant, at)
    marks: dict[int, list[Mark]] = defaultdict(list)
    shown = Mark.objects.filter(claim__in=on_page, at__lte=at)
    shown = shown.filter(Q(removed_at=None) | Q(removed_at__gt=at))
    shown = shown.filter(Q(photo__taken_down_at=None) | Q(photo__taken_down_at__gt=at))
    for mark in shown.select_related("photo__owner", "example").order_by("pk"):
        marks[mark.claim_id].append(mark)
    disputes: dict[int | None, list[Dispute]] = defaultdict(list)
    held = Dispute.objects.filter(claim__in=on_page, opened_at__lte=at)
    held = held.filter(Q(closed_at=None) | Q(closed_at__gt=at))
    for dispute in held.select_related("opened_by", "rival__state").order_by("pk"):
        disputes[dispute.claim_id].append(dispute)
    return Then(
        revision=revision,
        at=at,
        standing=stood.get(variant.public_id, VariantStanding.PROVISIONAL),
        claims=[
            ClaimThen(claim, stood.get(claim.public_id, ClaimStanding.OPEN), marks[pk], disputes[pk])
            for pk, claim in on_page.items()
        ],
    )


def settlings(variant: Variant) -> list[JournalEntry]:
    """The journal's lines on standings of the variant's release, and of releases merged into it. Queries: 1."""
    mine = Release.objects.filter(Q(pk=variant.release_id) | Q(merged_into=variant.release_id))
    lines = JournalEntry.objects.filter(
        about_kind="release", about_id__in=mine.values("public_id"), verb=SETTLED
    )
    return list(lines.order_by("pk"))


def standings_at(variant: Variant, at: datetime) -> dict[str, str]:
    """The last word on each claim and variant of the release at that moment, by public id. Queries: 1."""
    return {
        change["id"]: change["to"]
        for line in settlings(variant)
        if line.at <= at
        for change in line.detail["changes"]
        if change["kind"] in ("claim", "variant")
    }


@dataclass(frozen=True)
class Difference:
    """What differs of one thing between two points: who changed it, why, and the photos that show the later state."""

    what: str
    before: str
    after: str
    before_standing: str = ""
    after_standing: str = ""
    claim_before: Claim | None = None
    claim_after: Claim | None = None
    by: Member | None = None
    why: str = ""
    photos: list[Photo] = field(default_factory=list)


def differences(variant: Variant, before: Then, after: Then) -> list[Difference]:
    """Title, standing, details, nicknames: what differs from the one point to the other. Queries: 2."""
    found = []
    if before.revision.title != after.revision.title:
        found.append(Difference("Title", before.revision.title, after.revision.title))
    if before.standing != after.standing:
        found.append(Difference("Standing", before.standing_word, after.standing_word))
    found += of_claims(variant, before, after)
    if before.revision.nicknames != after.revision.nicknames:
        was, now = (", ".join(point.revision.nicknames) or "none" for point in (before, after))
        found.append(Difference("Nicknames", was, now))
    return found


def of_claims(variant: Variant, before: Then, after: Then) -> list[Difference]:
    sides: dict[tuple[str, int], list[ClaimThen | None]] = defaultdict(lambda: [None, None])
    for side, point in enumerate((before, after)):
        for one in point.claims:
            trait = one.claim.trait.survivor
            sides[trait.name, trait.pk][side] = one
    reasons = dict(Revision.objects.filter(variant=variant).values_list("number", "reason"))
    rivals = [one.claim.pk for one in after.claims]
    opened = Dispute.objects.filter(rival__in=rivals).select_related("opened_by")
    disputes = {dispute.rival_id: dispute for dispute in opened}
    return [
        told(name, was, now, reasons, disputes)
        for (name, _), (was, now) in sorted(sides.items(), key=lambda one: one[0])
        if as_read(was) != as_read(now)
    ]


def as_read(one: ClaimThen | None) -> tuple[int, str] | None:
    """What a reader sees of a claim: its state and where it stands."""
    return (one.claim.state.survivor.pk, one.standing) if one else None


def told(
    name: str,
    was: ClaimThen | None,
    now: ClaimThen | None,
    reasons: dict[int, str],
    disputes: dict[int | None, Dispute],
) -> Difference:
    by, why = None, ""
    if now and (was is None or was.claim.pk != now.claim.pk):
        dispute = disputes.get(now.claim.pk)
        by = now.claim.author
        why = dispute.reason if dispute else reasons.get(now.claim.since_revision or 0, "")
    photos = {mark.photo_id: mark.photo for mark in now.marks} if now else {}
    return Difference(
        what=name,
        before=was.claim.state.survivor.name if was else NOT_STATED,
        after=now.claim.state.survivor.name if now else NOT_STATED,
        before_standing=was.standing_word if was else "",
        after_standing=now.standing_word if now else "",
        claim_before=was.claim if was else None,
        claim_after=now.claim if now else None,
        by=by,
        why=why,
        photos=list(photos.values()),
    )
