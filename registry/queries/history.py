"""The timeline of one variant: who did what, when, why and on what evidence, as sentences in order."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from registry.models import (
    Basis,
    Claim,
    ClaimStanding,
    Dispute,
    Mark,
    Member,
    ModeratorEventKind,
    Outcome,
    Photo,
    Submission,
    Variant,
    VariantStanding,
    Verdict,
    Vote,
    is_about,
)
from registry.models.base import in_english
from registry.sentences import SEMICOLON, Sentence, counted, joined

from .blind import seen_by
from .then import settlings

MOST = 500
"""Events told at once; earlier ones are asked for by `before`."""
DONE_TO_IT: dict[str, Sentence] = {
    ModeratorEventKind.STRUCK: Sentence("struck it"),
    ModeratorEventKind.MERGED: Sentence("merged it"),
    ModeratorEventKind.SPLIT: Sentence("split it"),
    ModeratorEventKind.PARTED: Sentence("parted it"),
    ModeratorEventKind.RESTORED: Sentence("restored it"),
}


@dataclass(frozen=True)
class Event:
    """One sentence. `by`: who did it, none for the registry itself. `about`: what to look at, where it has a page."""

    at: datetime
    what: str
    by: Member | None = None
    why: str = ""
    about: Any = None
    photos: list[Photo] = field(default_factory=list)
    revision: int | None = None


def history(variant: Variant, reader: Member | None, before: datetime | None = None) -> list[Event]:
    """What happened to the variant, newest first, before a moment where one is given; at most `MOST` events.

    Votes are told only where queries.blind lets the reader see them. Queries: 8, whatever the size.
    """
    claims = list(
        Claim.objects.filter(variant=variant)
        .annotate(may_see_votes=seen_by(reader))
        .select_related("trait__merged_into", "state__merged_into", "author", "predecessor")
        .select_related("rival_in__opened_by", "rival_in__closed_by")
        .order_by("pk")
    )
    names: dict[str, str] = {claim.public_id: claim.words for claim in claims}
    events = [
        *of_reports(variant),
        *of_claims(claims),
        *of_photos(variant),
        *of_marks(claims, names),
        *of_votes(claims, names),
        *of_disputes(claims, names),
        *of_revisions(variant),
        *of_moderators(variant),
        *of_standings(variant, names),
    ]
    events = [event for event in events if before is None or event.at < before]
    return sorted(events, key=lambda event: event.at)[-MOST:][::-1]


def of_reports(variant: Variant) -> Iterable[Event]:
    sent = Submission.objects.filter(variant=variant, sent_at__isnull=False).select_related("author")
    for number, report in enumerate(sent.order_by("sent_at", "pk")):
        assert report.sent_at is not None
        yield Event(
            report.sent_at,
            Sentence("reported more of it") if number else Sentence("reported it"),
            report.author,
        )


def of_claims(claims: Sequence[Claim]) -> Iterable[Event]:
    """Claims made at once by one member are one sentence; rivals are told by their disputes."""
    made: dict[tuple[datetime, int | None], list[Claim]] = defaultdict(list)
    for claim in claims:
        is_rival = getattr(claim, "rival_in", None) is not None
        if not is_rival:
            made[claim.opened_at, claim.author_id].append(claim)
        if claim.closed_at and not claim.is_rival:
            yield Event(claim.closed_at, Sentence("It no longer says %(claim)s", claim=claim.words))
    for (at, _), together in made.items():
        author, said = together[0].author, joined((claim.words for claim in together), SEMICOLON)
        what = (
            Sentence("claimed %(said)s", said=said)
            if author
            else Sentence("The registry set %(said)s", said=said)
        )
        yield Event(at, what, author)


def of_photos(variant: Variant) -> Iterable[Event]:
    photos = Photo.objects.filter(is_about([variant]))
    brought: dict[tuple[datetime, int], list[Photo]] = defaultdict(list)
    for photo in photos.select_related("owner", "submission").order_by("pk"):
        sent_at = photo.submission.sent_at if photo.submission else None
        at = max(photo.added_at, sent_at or photo.added_at)
        brought[at, photo.owner_id].append(photo)
        if photo.taken_down_at:
            yield Event(photo.taken_down_at, Sentence("A photo was taken down"))
        if photo.restored_at:
            yield Event(photo.restored_at, Sentence("A photo that had been taken down was shown again"))
    for (at, _), together in brought.items():
        shown = [photo for photo in together if photo.taken_down_at is None]
        what = counted("brought a photo", "brought %(n)s photos", len(together))
        yield Event(at, what, together[0].owner, photos=shown)


def of_marks(claims: Sequence[Claim], names: dict[str, str]) -> Iterable[Event]:
    by_key = {claim.pk: names[claim.public_id] for claim in claims}
    marks = Mark.objects.filter(claim__in=by_key).select_related("by", "photo").order_by("pk")
    drawn: dict[tuple[datetime, int, int], list[Mark]] = defaultdict(list)
    for mark in marks:
        drawn[mark.at, mark.by_id, mark.photo_id].append(mark)
        if mark.removed_at:
            what = Sentence("A mark that showed %(claim)s was removed", claim=by_key[mark.claim_id])
            yield Event(mark.removed_at, what)
    for (at, _, _), together in drawn.items():
        shown = list(dict.fromkeys(by_key[mark.claim_id] for mark in together))
        photo = together[0].photo
        seen = [photo] if photo.taken_down_at is None else []
        what = Sentence("marked where a photo shows %(claims)s", claims=joined(shown, SEMICOLON))
        yield Event(at, what, together[0].by, photos=seen)


def of_votes(claims: Sequence[Claim], names: dict[str, str]) -> Iterable[Event]:
    """Votes that count, and those that were changed or taken back, on claims whose votes the reader may see."""
    by_key = {claim.pk: names[claim.public_id] for claim in claims if claim.may_see_votes}  # type: ignore[attr-defined]
    for vote in Vote.objects.filter(claim__in=by_key, counts=True).select_related("by").order_by("pk"):
        about = by_key[vote.claim_id]  # type: ignore[index]
        said = Sentence(
            "voted on %(claim)s: %(verdict)s, by %(basis)s",
            claim=about,
            verdict=in_english(Verdict(vote.verdict).label),
            basis=in_english(Basis(vote.basis).label),
        )
        yield Event(vote.at, said, vote.by, vote.note)
        if vote.ended_at:
            yield Event(
                vote.ended_at, Sentence("changed or took back that vote on %(claim)s", claim=about), vote.by
            )


def of_disputes(claims: Sequence[Claim], names: dict[str, str]) -> Iterable[Event]:
    """Every dispute of a claim has a rival claim, on the same variant."""
    by_key = {claim.pk: claim for claim in claims}
    for rival in claims:
        dispute: Dispute | None = getattr(rival, "rival_in", None)
        if dispute is None or dispute.claim_id not in by_key:
            continue
        about, instead = names[by_key[dispute.claim_id].public_id], rival.state.survivor
        yield Event(
            dispute.opened_at,
            Sentence("disputed %(claim)s, and saw %(state)s instead", claim=about, state=str(instead)),
            dispute.opened_by,
            dispute.reason,
            dispute,
        )
        if dispute.closed_at:
            ends = {
                Outcome.UPHELD: Sentence("%(claim)s stays", claim=about),
                Outcome.CORRECTED: Sentence("corrected to %(state)s", state=str(instead)),
                Outcome.WITHDRAWN: Sentence("withdrawn"),
            }
            end = ends[Outcome(dispute.outcome)]
            if dispute.closed_by:
                said = Sentence("ended the dispute of %(claim)s: %(end)s", claim=about, end=end)
            else:
                said = Sentence("The dispute of %(claim)s ended: %(end)s", claim=about, end=end)
            yield Event(dispute.closed_at, said, dispute.closed_by, dispute.closing_reason, dispute)


def of_revisions(variant: Variant) -> Iterable[Event]:
    for it in variant.revisions.select_related("author").order_by("number"):
        if it.author:
            what = Sentence("wrote revision %(number)s", number=it.number)
        else:
            what = Sentence("Revision %(number)s was written", number=it.number)
        yield Event(it.at, what, it.author, it.reason, revision=it.number)


def of_moderators(variant: Variant) -> Iterable[Event]:
    for event in variant.moderator_events.select_related("by", "into").order_by("pk"):
        what = DONE_TO_IT[event.kind]
        if event.into:
            what = Sentence("%(merged_it)s into %(variant)s", merged_it=what, variant=str(event.into))
        yield Event(event.at, what, event.by, event.reason, event.into)


def of_standings(variant: Variant, names: dict[str, str]) -> Iterable[Event]:
    """Each change of standing, from the journal; those of one moment are one sentence."""
    for line in settlings(variant):
        said: list[Sentence] = []
        for change in line.detail["changes"]:
            if change["kind"] == "claim" and change["id"] in names:
                label = in_english(ClaimStanding(change["to"]).label)
                name = names[change["id"]]
                name = name if said or name[:1].isupper() else name[:1].upper() + name[1:]
                said.append(Sentence("%(claim)s became %(standing)s", claim=name, standing=label))
            elif change["kind"] == "variant" and change["id"] == variant.public_id:
                label = in_english(VariantStanding(change["to"]).label)
                said.append(
                    Sentence("the variant became %(standing)s", standing=label)
                    if said
                    else Sentence("The variant became %(standing)s", standing=label)
                )
        if said:
            yield Event(line.at, joined(said, SEMICOLON))
