"""A variant as a page: its claims with what shows them, who voted, what is disputed, how it came to be."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

from django.db.models import OuterRef, Q
from django.db.models.functions import Coalesce

from registry.models import (
    CabinetItem,
    Claim,
    CountLine,
    Dispute,
    Edition,
    Mark,
    Member,
    ModeratorEvent,
    PublicationEntry,
    PublicationKind,
    ReleaseState,
    Revision,
    State,
    Variant,
    Verdict,
    Vote,
)
from registry.models.nested import NestedRows
from registry.sentences import COMMA, Sentence, joined

from .blind import seen_by
from .colours import say
from .evidence import kin_of
from .gloss import ShownGloss, gloss_for
from .measured import Shown, measured_for
from .then import NOT_STATED
from .votes import tally_of

MARKS_SHOWN = 4
"""Of each claim."""
MOST_LINES = 50
RELATED = ("release__line__maker", "release__casting__maker", "noticed_by", "merged_into", "split_from")


@dataclass
class ClaimOnPage:
    claim: Claim
    marks: list[Mark] = field(default_factory=list)
    tally: dict[str, int] | None = None
    """Counted votes by verdict; None where the reader has to vote first."""
    dispute: Dispute | None = None
    measured: list[Shown] = field(default_factory=list)
    gloss: list[ShownGloss] = field(default_factory=list)


@dataclass(frozen=True)
class Change:
    """One readable difference between two revisions: what, from, to."""

    what: str
    before: str
    after: str


@dataclass
class VariantPage:
    """`ever`: every claim there was, by public id."""

    variant: Variant
    claims: list[ClaimOnPage]
    rivals: list[ClaimOnPage]
    ever: dict[str, Claim]
    disputes: list[Dispute]
    count_lines: list[CountLine]
    merged_from: list[Variant]
    packed_with: list[Variant]

    @property
    def marks(self) -> list[Mark]:
        """All marks on its claims and their rivals, those of what it differs by first."""
        return [mark for entry in (*self.claims, *self.rivals) for mark in entry.marks]

    def has_said_by_others(self, member: Member) -> bool:
        """Whether somebody else claims anything but the cause of it: that may be voted on by an example in the hand."""
        claims = [entry.claim for entry in self.claims if not entry.claim.trait.is_cause]
        return any(claim.author_id != member.pk for claim in claims)


def one_variant(public_id: str, reader: Member | None = None) -> Variant | None:
    """A variant with its revisions, what moderators did to it, the List that last published it, and the reader's own.

    Queries: 1.
    """
    it = OuterRef("pk")
    revisions = Revision.objects.filter(variant=it).order_by("-number")
    events = ModeratorEvent.objects.filter(variant=it).order_by("pk")
    published = PublicationEntry.objects.filter(variant=OuterRef(it)).exclude(kind=PublicationKind.ENDED)
    editions = Edition.objects.filter(number__in=published.values("edition_number")).order_by("-number")[:1]
    owned = CabinetItem.objects.filter(Q(variant=it) | Q(variant__merged_into=it), member=reader)
    columns = ("number", "at", "reason", "claims", "title", "nicknames")
    who = ("author__display_name", "author__erased_at")
    happened = ("kind", "at", "reason", "reason_code", "into__public_id", "into__title")
    found = Variant.objects.filter(public_id=public_id).select_related(*RELATED)
    return found.annotate(
        written=NestedRows(revisions, *columns, *who),
        happened=NestedRows(events, *happened),
        in_list=NestedRows(editions, "number", "issued_at"),
        owned=NestedRows(owned.order_by("pk"), "public_id", "count", "condition"),
    ).first()


def claims_ever(variant: Variant, reader: Member | None) -> list[Claim]:
    """Every claim there was, with what is told of each: votes, reference colours and sizes, fidelity. Queries: 1."""
    here = Claim.objects.filter(Q(pk=OuterRef(OuterRef("pk"))) | Q(merged_into=OuterRef(OuterRef("pk"))))
    votes = Vote.objects.current().filter(claim__in=here.values("pk"), counts=True).order_by("pk")
    of = Q(trait=OuterRef("trait_kept")) | Q(trait__merged_into=OuterRef("trait_kept"))
    told = Q(lab_l__isnull=False) | Q(number__isnull=False)
    states = State.objects.current().filter(of, told).order_by("number", "pk")
    true_to = ReleaseState.objects.filter(release=variant.release_id, state=OuterRef("state"))
    colour = ("lab_l", "lab_a", "lab_b", "lab_tolerance")
    related = (
        "trait__merged_into",
        "state__merged_into",
        "author",
        "base_claim__state",
        "base_claim__variant",
    )
    claims = (
        Claim.objects.filter(variant=variant)
        .annotate(may_see_votes=seen_by(reader), trait_kept=Coalesce("trait__merged_into", "trait"))
        .annotate(
            votes_cast=NestedRows(votes, "by_id", "verdict"),
            known=NestedRows(
                states, "id", "public_id", "name", "number", "number_tolerance", "unit", *colour
            ),
            fidelity=NestedRows(true_to, "fidelity", "subject", "source"),
        )
        .select_related(*related, "rival_in__opened_by", "rival_in__closed_by")
    )
    return list(claims.order_by("-is_difference", "trait__place", "pk"))


def variant_page(variant: Variant, reader: Member | None = None) -> VariantPage:
    """Everything a variant's page shows to this reader. Queries: 6, whatever the size."""
    ever: list[Any] = claims_ever(variant, reader)
    on_page = {claim.pk: ClaimOnPage(claim) for claim in ever if claim.closed_at is None}
    claims = [entry.claim for entry in on_page.values()]
    marks = (
        Mark.objects.standing().on(claims).select_related("photo__owner", "example__owner", "colour__chart")
    )
    for mark in marks.order_by("pk"):
        mark.claim = on_page[mark.shown_claim].claim
        on_page[mark.shown_claim].marks.append(mark)
    known = {claim.trait_kept: claim.known for claim in ever}
    shown = [mark for entry in on_page.values() for mark in entry.marks[:MARKS_SHOWN]]
    say(
        ((mark, mark.claim) for mark in shown),
        {mark.pk: mark.colour for mark in shown if hasattr(mark, "colour")},
        {
            key: {one.public_id: one for one in states if one.lab_l is not None}
            for key, states in known.items()
        },
    )
    for claim_pk, measured in measured_for(claims, known).items():
        on_page[claim_pk].measured = measured
    for claim_pk, gloss in gloss_for([claim for claim in claims if claim.trait.survivor.is_finish]).items():
        on_page[claim_pk].gloss = gloss
    disputes = disputes_among(ever)
    for dispute in disputes:
        for side in (dispute.claim_id, dispute.rival_id):
            if dispute.closed_at is None and side in on_page:
                on_page[side].dispute = dispute
    for entry in on_page.values():
        if entry.claim.may_see_votes:  # type: ignore[attr-defined]
            entry.tally = tally_of(entry.claim.votes_cast)  # type: ignore[attr-defined]
    lines = CountLine.objects.naming(variant).filter(sighting__withdrawn_at=None)
    lines = lines.select_related("sighting__pack").order_by("-sighting__seen_on", "-pk")
    kin = kin_of(variant)
    return VariantPage(
        variant=variant,
        claims=[entry for entry in on_page.values() if not entry.claim.is_rival],
        rivals=[entry for entry in on_page.values() if entry.claim.is_rival],
        ever={claim.public_id: claim for claim in ever},
        disputes=disputes,
        count_lines=list(lines[:MOST_LINES]),
        merged_from=[other for other in kin if other.merged_into_id == variant.pk],
        packed_with=[other for other in kin if other.merged_into_id != variant.pk],
    )


def disputes_among(claims: list[Any]) -> list[Dispute]:
    """Of a claim and its rival that are both among them, newest first. Queries: none."""
    by_key = {claim.pk: claim for claim in claims}
    found = [claim.rival_in for claim in claims if hasattr(claim, "rival_in")]
    found = [dispute for dispute in found if dispute.claim_id in by_key]
    for dispute in found:
        dispute.claim, dispute.rival = by_key[dispute.claim_id], by_key[dispute.rival_id]
    return sorted(found, key=lambda dispute: -dispute.pk)


def changes_by(written: list[Revision], claims: Mapping[str, Claim]) -> list[tuple[Revision, list[Change]]]:
    """Each revision, newest first, with what it changed. Queries: none."""
    pairs = [(after, changes(before, after, claims)) for after, before in pairwise(written)]
    return [*pairs, *((first, []) for first in written[-1:])]


def changes_between(before: Revision, after: Revision) -> list[Change]:
    """What changed from one revision to another, in words. Queries: 1."""
    ids = {*before.claims, *after.claims}
    kept = Claim.objects.filter(public_id__in=ids).select_related("trait__merged_into", "state__merged_into")
    return changes(before, after, {claim.public_id: claim for claim in kept})


def changes(before: Revision, after: Revision, claims: Mapping[str, Claim]) -> list[Change]:
    """The same, of claims that were read. Queries: none."""
    sides: dict[tuple[str, int], dict[str, str]] = defaultdict(dict)
    for side, revision in (("before", before), ("after", after)):
        for public_id in revision.claims:
            if claim := claims.get(public_id):
                trait = claim.trait.survivor
                sides[trait.name, trait.pk][side] = claim.state.survivor.name
    found = [
        Change(name, side.get("before", NOT_STATED), side.get("after", NOT_STATED))
        for (name, _), side in sorted(sides.items())
        if side.get("before") != side.get("after")
    ]
    if before.title != after.title:
        found.insert(0, Change(Sentence("Title"), before.title, after.title))
    if before.nicknames != after.nicknames:
        found.append(Change(Sentence("Nicknames"), ", ".join(before.nicknames), ", ".join(after.nicknames)))
    return found


def verdict_words(tally: dict[str, int]) -> str:
    """`2 confirm, 1 cannot tell`."""
    words = {
        Verdict.CONFIRMS: Sentence("%(n)s confirm"),
        Verdict.CONTRADICTS: Sentence("%(n)s contradict"),
        Verdict.CANNOT_TELL: Sentence("%(n)s cannot tell"),
    }
    told = [Sentence(word.one, n=tally[verdict]) for verdict, word in words.items() if tally.get(verdict)]
    return joined(told, COMMA)
