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
from registry.sentences import Sentence

NOT_STATED = Sentence("not stated")
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


@dataclass(frozen=True)
class Past:
    """All that is needed to tell how a variant stood at any time, read once."""

    variant: Variant
    revisions: list[Revision]
    claims: list[Claim]
    settled: list[JournalEntry]
    marks: list[Mark]
    disputes: list[Dispute]

    def then(self, point: int | datetime) -> Then | None:
        """The variant as it stood; None where it had no such revision, or was not there yet. Queries: none."""
        for revision in reversed(self.revisions):
            if isinstance(point, int) and revision.number == point:
                return self.as_it_was(revision, revision.at)
            if isinstance(point, datetime) and revision.at <= point:
                return self.as_it_was(revision, point)
        return None

    def as_it_was(self, revision: Revision, at: datetime) -> Then:
        stood = standings_at(self.settled, at)
        marks: dict[int, list[Mark]] = defaultdict(list)
        for mark in self.marks:
            gone = [moment for moment in (mark.removed_at, mark.photo.taken_down_at) if moment]
            if mark.at <= at and all(moment > at for moment in gone):
                marks[mark.claim_id].append(mark)
        disputes: dict[int | None, list[Dispute]] = defaultdict(list)
        for dispute in self.disputes:
            if dispute.opened_at <= at and (dispute.closed_at is None or dispute.closed_at > at):
                disputes[dispute.claim_id].append(dispute)
        had = set(revision.claims)
        return Then(
            revision=revision,
            at=at,
            standing=stood.get(self.variant.public_id, VariantStanding.PROVISIONAL),
            claims=[
                ClaimThen(
                    claim,
                    stood.get(claim.public_id, ClaimStanding.OPEN),
                    marks[claim.pk],
                    disputes[claim.pk],
                )
                for claim in self.claims
                if claim.public_id in had
            ],
        )


def past(variant: Variant) -> Past:
    """Queries: 5, whatever the size."""
    revisions = list(
        Revision.objects.filter(variant=variant).select_related("author", "parent").order_by("number")
    )
    ids = {claim for revision in revisions for claim in revision.claims}
    claims = list(
        Claim.objects.filter(public_id__in=ids)
        .select_related("trait__merged_into", "state__merged_into", "author", "submission")
        .order_by("-is_difference", "trait__place", "pk")
    )
    held = Dispute.objects.filter(Q(claim__in=claims) | Q(rival__in=claims))
    return Past(
        variant=variant,
        revisions=revisions,
        claims=claims,
        settled=settlings(variant),
        marks=list(
            Mark.objects.filter(claim__in=claims).select_related("photo__owner", "example").order_by("pk")
        ),
        disputes=list(held.select_related("opened_by", "rival__state").order_by("pk")),
    )


def settlings(variant: Variant) -> list[JournalEntry]:
    """The journal's lines on standings of the variant's release, and of releases merged into it. Queries: 1."""
    mine = Release.objects.filter(Q(pk=variant.release_id) | Q(merged_into=variant.release_id))
    lines = JournalEntry.objects.filter(
        about_kind="release", about_id__in=mine.values("public_id"), verb=SETTLED
    )
    return list(lines.order_by("pk"))


def standings_at(settled: list[JournalEntry], at: datetime) -> dict[str, str]:
    """The last word on each claim and variant of the release at that moment, by public id. Queries: none."""
    return {
        change["id"]: change["to"]
        for line in settled
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


def differences(known: Past, before: Then, after: Then) -> list[Difference]:
    """Title, standing, details, nicknames: what differs from the one point to the other. Queries: none."""
    found = []
    if before.revision.title != after.revision.title:
        found.append(Difference(Sentence("Title"), before.revision.title, after.revision.title))
    if before.standing != after.standing:
        found.append(Difference(Sentence("Standing"), before.standing_word, after.standing_word))
    found += of_claims(known, before, after)
    if before.revision.nicknames != after.revision.nicknames:
        was, now = (", ".join(point.revision.nicknames) or Sentence("none") for point in (before, after))
        found.append(Difference(Sentence("Nicknames"), was, now))
    return found


def of_claims(known: Past, before: Then, after: Then) -> list[Difference]:
    sides: dict[tuple[str, int], list[ClaimThen | None]] = defaultdict(lambda: [None, None])
    for side, point in enumerate((before, after)):
        for one in point.claims:
            trait = one.claim.trait.survivor
            sides[trait.name, trait.pk][side] = one
    reasons = {revision.number: revision.reason for revision in known.revisions}
    disputes = {dispute.rival_id: dispute for dispute in known.disputes}
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
