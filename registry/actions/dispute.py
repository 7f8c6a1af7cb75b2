"""Object to a claim: open a rival with the state proposed instead, take the objection back, or close it."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any

from django.db.models import Max

from registry.errors import AlreadyClosed, InvalidField, NotPermitted, RegistryError, WrongMoment
from registry.methods import reasons
from registry.models import (
    Cause,
    Claim,
    Dispute,
    HeldDispute,
    JournalEntry,
    Licence,
    Member,
    Outcome,
    Photo,
    Release,
    Role,
    State,
    Statement,
    Variant,
    Vote,
)
from registry.models.base import in_english
from registry.queries.facts import as_they_read, barred_from, claim_fact, photos_of, seen_in_pack
from registry.sentences import Sentence

from . import wording
from .admission import active, require
from .attach import TakenIn, attach_photo, leave, take_in
from .correct import close_as_upheld, end
from .grudge import hold, is_to_be_held
from .journalled import journalled
from .quotas import admit, look_ahead
from .reopen import bring, read_anew, refuse_decided
from .settle import locked, refuse_gone, settle_release


def open_dispute(
    *, by: Member, at: datetime, data: bytes | None = None, **said: Any
) -> Dispute | HeldDispute:
    """Object to a claim, naming the state seen instead, or to a statement of order.

    It contests the claim only once it carries a photo or a second reviewer confirms the rival: one that is known
    (`photo`), or a picture that is attached in the same breath (`data`). Who has disputed one person's records over
    and over gets a held dispute back, without its picture, which a moderator looks at first.
    The picture is decoded before the transaction; the rest of what is said is as `object_to` takes it.
    Errors: AlreadyClosed, IdentityMoved, WrongMoment when a dispute is already open there, DecidedBefore when the same
    was decided before and nothing new is shown, ImageRefused, InvalidField, TooMany.
    """
    look_ahead(by, "disputes", at)
    picture = take_in(by=by, at=at, data=data) if data is not None else None
    try:
        return object_to(by=by, at=at, picture=picture, **said)
    except RegistryError:
        leave(picture)
        raise


@journalled
def object_to(
    *,
    by: Member,
    at: datetime,
    reason: str,
    claim: Claim | None = None,
    state: State | None = None,
    statement: Statement | None = None,
    base_revision: int | None = None,
    photo: Photo | None = None,
    picture: TakenIn | None = None,
    licence: str = Licence.CC_BY_4,
) -> Dispute | HeldDispute:
    member = admit(by, "disputes", at)
    said = objection(member, at, reason, claim, state, statement, base_revision)
    photo = read_anew(photo)
    if said.dispute.claim is not None and said.proposed is not None:
        shown = picture.upload_digest if picture else None
        refuse_decided(said.dispute.claim, said.proposed, said.release, member, photo, shown)
    if is_to_be_held(member, said.subject, at):
        return hold(said.dispute, said.proposed, at)
    return enter(said, photo, picture, licence)


@dataclass(frozen=True)
class Objection:
    """A dispute that may be opened: checked, with its release locked, and kept nowhere yet."""

    dispute: Dispute
    subject: Claim | Statement
    proposed: State | None
    release: Release


def objection(
    member: Member,
    at: datetime,
    reason: str,
    claim: Claim | None,
    state: State | None,
    statement: Statement | None,
    base_revision: int | None,
) -> Objection:
    reason = wording.line("reason", reason, 500)
    if (claim is None) == (statement is None):
        raise InvalidField("claim", None, Sentence("Dispute exactly one claim or statement."))
    release = locked(claim.variant.release if claim is not None else statement.release)  # type: ignore[union-attr]
    dispute = Dispute(
        claim=claim,
        statement=statement,
        opened_by=member,
        reason=reason,
        base_revision=wording.whole_if_given("base_revision", base_revision, 1, 1_000_000),
        opened_at=at,
        after_vote=Vote.objects.aggregate(newest=Max("pk"))["newest"] or 0,
    )
    subject: Claim | Statement = claim or statement  # type: ignore[assignment]
    refuse_second(subject, dispute)
    proposed = proposed_state(claim, state) if claim is not None else None
    return Objection(dispute, subject, proposed, release)


def enter(
    said: Objection,
    photo: Photo | None = None,
    picture: TakenIn | None = None,
    licence: str = Licence.CC_BY_4,
) -> Dispute:
    """Open the dispute with its rival and its picture, and settle the release. In the caller's transaction."""
    dispute, at = said.dispute, said.dispute.opened_at
    if dispute.claim is not None and said.proposed is not None:
        dispute.rival = open_rival(dispute.claim, said.proposed, dispute.opened_by, at)
    dispute.save()
    detail = opening_detail(dispute, said.release)
    JournalEntry.objects.record(
        by=dispute.opened_by, verb="dispute.opened", about=dispute, at=at, detail=detail
    )
    if photo is not None and dispute.claim is not None:
        bring(photo, dispute, dispute.opened_by, at)
    if picture is not None:
        attach_photo(by=dispute.opened_by, at=at, data=picture, dispute=dispute, licence=licence)
    settle_release(release=said.release, at=at)
    dispute.refresh_from_db()
    return dispute


def refuse_second(subject: Claim | Statement, dispute: Dispute) -> None:
    subject.refresh_from_db(fields=["closed_at"])
    if isinstance(subject, Claim):
        refuse_gone(subject)
    if subject.closed_at:
        raise AlreadyClosed(
            Sentence("This has been decided or replaced since. Reload the page to see what stands now.")
        )
    if isinstance(subject, Claim) and subject.is_rival:
        raise InvalidField(
            "claim", subject.public_id, Sentence("This is the other side of a dispute. Vote on it instead.")
        )
    others = Dispute.objects.open().filter(claim=dispute.claim, statement=dispute.statement)
    if other := others.first():
        raise WrongMoment(
            Sentence(
                "A dispute (%(id)s) is already open here. Vote there, and add your photo.", id=other.shown_id
            ),
            dispute=other.public_id,
        )


def proposed_state(claim: Claim, state: State | None) -> State:
    """The state that the rival will have. Errors: InvalidField where it is none that could be proposed."""
    if state is None:
        raise InvalidField(
            "state", None, Sentence("Say which state of %(trait)s you see instead.", trait=claim.trait)
        )
    if state.trait.survivor != claim.trait.survivor:
        raise InvalidField("state", state.name, Sentence("Choose a state of %(trait)s.", trait=claim.trait))
    if state.survivor == claim.state.survivor:
        raise InvalidField(
            "state", state.name, Sentence("That is the state claimed. Choose what you see instead.")
        )
    if claim.trait.is_cause and state.key == Cause.BASELINE and not is_first_sent(claim.variant):
        raise InvalidField(
            "state",
            state.name,
            Sentence("Only a release's first variant is the baseline. Choose another cause."),
        )
    survivor: State = state.survivor
    return survivor


def open_rival(claim: Claim, state: State, by: Member, at: datetime) -> Claim:
    return Claim.objects.create(
        variant=claim.variant,
        trait=claim.trait,
        state=state,
        author=by,
        is_difference=claim.is_difference,
        base_claim=claim.base_claim,
        is_rival=True,
        predecessor=claim,
        opened_at=at,
    )


def is_first_sent(variant: Variant) -> bool:
    """The first of its release that was neither struck, merged nor split since: the baseline of the others."""
    sent = Variant.objects.live().filter(release=variant.release_id).order_by("pk")
    return sent.values_list("pk", flat=True).first() == variant.pk


def opening_detail(dispute: Dispute, release: Release) -> dict[str, object]:
    if dispute.claim is None or dispute.rival is None:
        assert dispute.statement is not None
        return {"id": dispute.public_id, "statement": dispute.statement.public_id}
    claims = as_they_read([dispute.claim, dispute.rival])
    rival = next(claim for claim in claims if claim.pk == dispute.rival_id)
    barred = barred_from(claims, [dispute], photos_of(release))[rival.pk]
    detail = asdict(claim_fact(rival, seen_in_pack(release), barred))
    detail |= {"barred": sorted(barred), "rival_in": dispute.public_id}
    return {"id": dispute.public_id, "claim": dispute.claim.public_id, "rival": detail, "photo": False}


@journalled
def withdraw_dispute(*, dispute: Dispute, by: Member, at: datetime) -> Dispute:
    """Its opener takes it back; the rival closes, the claim stands as the votes on it say."""
    active(by)
    release = open_dispute_locked(dispute)
    if dispute.opened_by_id != by.pk:
        raise NotPermitted(
            Sentence("Only who opened a dispute can take it back. A moderator can close it with a reason.")
        )
    Claim.objects.filter(rival_in=dispute).update(closed_at=at)
    end(dispute, Outcome.WITHDRAWN, at, by=by, reason=reasons.TAKEN_BACK)
    settle_release(release=release, at=at)
    return dispute


@journalled
def close_dispute(*, dispute: Dispute, by: Member, at: datetime, reason: str) -> Dispute:
    """A moderator upholds the claim, with a reason. Errors: RoleRequired, AlreadyClosed."""
    require(by, Role.MODERATOR)
    reason = wording.line("reason", reason, 500)
    release = open_dispute_locked(dispute)
    close_as_upheld(dispute=dispute, at=at, by=by, reason=reason)
    settle_release(release=release, at=at)
    return dispute


def open_dispute_locked(dispute: Dispute) -> Release:
    """The dispute's release, locked. Errors: AlreadyClosed when the dispute has ended."""
    subject = dispute.claim.variant if dispute.claim is not None else dispute.statement
    assert subject is not None
    release = locked(subject.release)
    dispute.refresh_from_db(fields=["outcome"])
    if dispute.outcome != Outcome.OPEN:
        raise AlreadyClosed(
            Sentence(
                "This dispute has ended: %(outcome)s.", outcome=in_english(Outcome(dispute.outcome).label)
            )
        )
    return release
