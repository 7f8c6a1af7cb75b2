"""Send a report: a new variant appears, or a known one gains claims or a dispute."""

from __future__ import annotations

from dataclasses import asdict
from datetime import datetime
from typing import Any

from registry.errors import DifferenceMissing, IdentityMoved, InvalidField, TwinExists
from registry.methods import reasons
from registry.models import (
    CAUSE_KEY,
    Cause,
    Claim,
    FeedEventKind,
    HeldDispute,
    JournalEntry,
    Member,
    Release,
    State,
    Submission,
    SubmissionStatus,
    Trait,
    Variant,
)
from registry.queries.facts import as_they_read, barred_from, claim_fact, photos_of, seen_in_pack
from registry.sentences import Sentence

from . import wording
from .dispute import open_dispute
from .drafts import check_outline, own_draft
from .enclose import enclose_examples, enclose_marks, enclose_photos, enclose_sightings
from .feed import tell
from .index import index
from .journalled import journalled
from .quotas import admit
from .report import SaidClaim, equal_variant, named, said_cause, said_claims, the_release
from .revise import revise
from .settle import locked, settle_release


@journalled
def send_submission(*, submission: Submission, by: Member, at: datetime) -> Submission:
    """Make the draft public, with all it proposes, encloses and marks; settle the release.

    Errors: DifferenceMissing, TwinExists, NearTwin, InvalidField and UnknownReference, each naming the field; then
    nothing is kept but the draft itself.
    """
    draft = own_draft(submission, by)
    admit(by, "submissions", at)
    check_outline(draft)
    release = locked(the_release(draft, by, at))
    for known in filter(None, (draft.variant, draft.differs_from)):
        known.refresh_from_db()  # what was read before the lock may have been revised meanwhile
    names = named(draft, release, by, at)
    claims = said_claims(draft, release, names)
    draft.release, draft.casting = release, release.casting
    is_new = draft.variant is None
    if draft.variant is None:
        opened = send_new_variant(draft, release, claims, by, at)
    else:
        opened = send_on_known_variant(draft, draft.variant, claims, by, at)
    draft.status, draft.sent_at, draft.changed_at = SubmissionStatus.SENT, at, at
    draft.revision += 1
    draft.save()
    variant = draft.variant
    assert variant is not None
    names.examples = enclose_examples(draft, release, by, at)
    enclose_photos(draft, release, names, by)
    marks = enclose_marks(draft, variant, draft.differs_from, names, by, at)
    note_first_month(variant, names.examples.values())
    enclose_sightings(draft, variant, by, at)
    index(variant)
    JournalEntry.objects.record(
        by=by,
        verb="submission.sent",
        about=draft,
        at=at,
        detail=sending_detail(draft, release, opened, marks, is_new),
    )
    if is_new:
        tell(release, FeedEventKind.SPOTTED, at, variant)
    settle_release(release=release, at=at)
    draft.refresh_from_db()
    return draft


def send_new_variant(
    draft: Submission, release: Release, claims: list[SaidClaim], by: Member, at: datetime
) -> list[Claim]:
    """Create the variant, its claims and revision 1. The release's first one is the baseline of the others."""
    if not claims:
        raise InvalidField("claims", [], Sentence("State at least one detail that you can show."))
    is_first = not release.variants.live().exists()
    if not is_first and not any(claim.is_difference for claim in claims):
        raise DifferenceMissing(field="claims")
    base = None if is_first else base_variant(draft, release)
    if twin := equal_variant(release, claims):
        raise TwinExists(
            Sentence(
                "This is %(twin)s (%(id)s), which is already listed. Add your photos and sightings to it.",
                twin=repr(twin.title),
                id=twin.shown_id,
            ),
            field="claims",
            twin=twin.public_id,
        )
    variant = draft.variant = named_variant(draft, release, claims, by, at)
    opened: list[Claim] = []
    for said in claims:
        other, new = other_side(draft, base, said, by, at) if base and said.is_difference else (None, [])
        differs = is_first or said.is_difference
        opened += new
        opened.append(open_claim(draft, variant, said.trait, said.state, by, at, differs, other))
    cause = said_cause(draft)  # refused where it is none, of a baseline too
    if is_first:
        cause = Cause.BASELINE
    if cause:
        opened.append(open_cause(draft, variant, cause, None if is_first else by, at))
    if base and any(each.variant_id == base.pk for each in opened):
        revise(
            variant=base,
            author=by,
            reason=reasons.OTHER_SIDE.filled(title=variant.title),
            at=at,
        )
    revise(variant=variant, author=by, reason=reasons.FIRST_REPORTED, at=at)
    return opened


def named_variant(
    draft: Submission, release: Release, claims: list[SaidClaim], by: Member, at: datetime
) -> Variant:
    """The row, named as the draft says, else by what differs."""
    title = wording.line("title", draft.content.get("title") or default_title(claims), 120)
    nicknames = wording.lines("nicknames", draft.content.get("nicknames"), 60)
    published = wording.line("noticed_in", draft.content.get("noticed_in"), 200, required=False)
    return Variant.objects.create(
        release=release,
        title=title,
        nicknames=nicknames,
        noticed_in=published,
        noticed_by=None if published else by,
        sent_at=at,
        changed_at=at,
    )


def base_variant(draft: Submission, release: Release) -> Variant:
    base = draft.differs_from
    if base is None:
        raise DifferenceMissing(
            Sentence("differs_from: choose the known variant that yours differs from."), field="differs_from"
        )
    if base.release_id != release.pk:
        raise InvalidField(
            "differs_from", base.public_id, Sentence("Choose a variant of %(release)s.", release=release)
        )
    if base.is_gone:
        raise IdentityMoved(field="differs_from")
    return base


def other_side(
    draft: Submission, base: Variant, said: SaidClaim, by: Member, at: datetime
) -> tuple[Claim, list[Claim]]:
    """The base variant's claim on the trait that differs, opened where it is missing; and what was opened."""
    standing = Claim.objects.open().on(said.trait).filter(variant=base)
    known = standing.select_related("state__merged_into").first()
    name = said.trait.name
    if known:
        state = known.state.survivor
        if said.base_state and said.base_state != state:
            raise InvalidField(
                "claims.base_state",
                said.base_state.name,
                Sentence(
                    "%(base)s is listed with %(name)s: %(state)s. If that is wrong, dispute it first.",
                    base=base.title,
                    name=name,
                    state=state.name,
                ),
            )
    elif said.base_state is None:
        raise InvalidField(
            "claims.base_state",
            None,
            Sentence("Say which state of %(name)s %(base)s has.", name=name, base=base.title),
        )
    other = known.state.survivor if known else said.base_state
    if other == said.state:
        raise InvalidField(
            "claims.state",
            said.state.name,
            Sentence("%(base)s has the same %(name)s: that is no difference.", base=base.title, name=name),
        )
    if known:
        return known, []
    assert said.base_state is not None
    since = base.revision_number + 1
    claim = open_claim(draft, base, said.trait, said.base_state, by, at, since=since)
    return claim, [claim]


def send_on_known_variant(
    draft: Submission, variant: Variant, claims: list[SaidClaim], by: Member, at: datetime
) -> list[Claim]:
    """Add claims where there were none; where the report contradicts an open claim, dispute it."""
    if variant.is_gone:
        raise IdentityMoved(field="variant")
    known = {
        claim.trait.survivor.pk: claim
        for claim in Claim.objects.open().filter(variant=variant).select_related("trait", "state")
    }
    since = variant.revision_number + 1
    opened, contradicted = [], []
    for said in claims:
        claim = known.get(said.trait.pk)
        if claim is None:
            opened.append(open_claim(draft, variant, said.trait, said.state, by, at, since=since))
        elif claim.state.survivor != said.state:
            contradicted.append((claim, said.state))
    cause = said_cause(draft)
    if cause and not variant.cause:
        opened.append(open_cause(draft, variant, cause, by, at, since))
    elif cause and cause != variant.cause:
        claim = Claim.objects.open().on_cause().get(variant=variant)
        contradicted.append((claim, State.objects.get(trait=claim.trait, key=cause)))
    if not opened and not contradicted and not draft.photos.exists() and not draft.content.get("marks"):
        raise InvalidField(
            "claims", [], Sentence("Add a claim, a photo or a mark: this report says nothing new.")
        )
    if opened:
        revise(variant=variant, author=by, reason=reasons.CLAIMS_ADDED, at=at)
    reason = (
        wording.line("note", draft.content.get("note"), 500, required=False) or "A report saw another state."
    )
    newest = draft.photos.shown().order_by("pk").last()
    for claim, state in contradicted:
        dispute = open_dispute(claim=claim, state=state, by=by, reason=reason, at=at, photo=newest)
        if isinstance(dispute, HeldDispute):
            continue  # its photos stay the report's: nothing of it shows before a moderator has looked
        if draft.photos.shown().filter(dispute=None).update(dispute=dispute):
            added = {"id": dispute.public_id}
            JournalEntry.objects.record(by=by, verb="dispute.photo_added", about=dispute, at=at, detail=added)
    return opened


def open_claim(
    draft: Submission,
    variant: Variant,
    trait: Trait,
    state: State,
    by: Member | None,
    at: datetime,
    is_difference: bool = False,
    base_claim: Claim | None = None,
    since: int = 1,
) -> Claim:
    return Claim.objects.create(
        variant=variant,
        trait=trait,
        state=state,
        author=by,
        submission=draft,
        is_difference=is_difference,
        base_claim=base_claim,
        since_revision=since,
        opened_at=at,
    )


def open_cause(
    draft: Submission, variant: Variant, cause: str, by: Member | None, at: datetime, since: int = 1
) -> Claim:
    trait = Trait.objects.get(key=CAUSE_KEY, line=None, casting=None)
    state = State.objects.get(trait=trait, key=cause)
    return open_claim(draft, variant, trait, state, by, at, since=since)


def default_title(claims: list[SaidClaim]) -> str:
    """What differs, in the words of its traits and states; a state that several traits share is said once."""
    telling = [claim for claim in claims if claim.is_difference] or claims
    traits: dict[str, list[str]] = {}
    for claim in telling:
        traits.setdefault(claim.state.name, []).append(claim.trait.name.lower())
    title = ", ".join(f"{state} {' and '.join(names)}" for state, names in traits.items())
    return (title[0].upper() + title[1:])[:120]


def note_first_month(variant: Variant, examples: Any) -> None:
    """The earliest month in which one of the enclosed examples was found sorts the release page."""
    months = [example.found_month for example in examples if example.found_month]
    if months and (variant.noticed_on is None or min(months) < variant.noticed_on):
        variant.noticed_on = min(months)
        variant.save(update_fields=["noticed_on"])


def claim_details(release: Release, claims: list[Claim]) -> list[dict[str, Any]]:
    """Claims as the journal keeps them: enough to replay every standing."""
    seen = seen_in_pack(release)
    claims = as_they_read(claims)
    barred = barred_from(claims, [], photos_of(release))
    return [
        {**asdict(claim_fact(claim, seen, barred[claim.pk])), "barred": sorted(barred[claim.pk])}
        for claim in claims
    ]


def sending_detail(
    draft: Submission, release: Release, opened: list[Claim], marks: list[dict[str, str]], is_new: bool
) -> dict[str, Any]:
    variant = draft.variant
    assert variant is not None
    return {
        "release": release.public_id,
        "variant": variant.public_id,
        "new_variant": is_new,
        "title": variant.title,
        "claims": claim_details(release, opened),
        "photos": [
            {
                "id": photo.public_id,
                "owner": photo.owner.public_id,
                "examples": [example.public_id for example in photo.examples.order_by("photo_examples")],
                "views": photo.views,
            }
            for photo in draft.photos.shown().select_related("owner").order_by("pk")
        ],
        "marks": marks,
    }
