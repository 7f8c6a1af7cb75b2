"""Say of one claim, or of one statement of order, that it is so, that it is not, or that one cannot tell."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any

from registry.errors import AlreadyClosed, BaseRevisionStale, InvalidField, NotFound, OwnSubmission
from registry.models import (
    Basis,
    Claim,
    Condition,
    Example,
    JournalEntry,
    Member,
    PhotoExample,
    Release,
    Role,
    State,
    Statement,
    Verdict,
    Vote,
    is_published,
)
from registry.models.base import in_english
from registry.queries.facts import barred_from, photos_of
from registry.sentences import Sentence

from . import wording
from .admission import active, refuse_by_one_step
from .independence import may_count, refuse_linked, watch_for_surge
from .journalled import journalled
from .settle import locked, refuse_gone, settle_release

VOTE_COLUMNS = (
    "claim_id", "statement_id", "verdict", "basis", "state_seen_id", "example_id", "note", "base_revision", "counts",
    "by_moderator",
)  # fmt: skip


@journalled
def cast_vote(
    *,
    by: Member,
    at: datetime,
    verdict: str,
    basis: str,
    claim: Claim | None = None,
    statement: Statement | None = None,
    state_seen: State | None = None,
    example: Example | None = None,
    note: str = "",
    base_revision: int | None = None,
) -> Vote:
    """Cast or change a vote; the earlier one is kept as history. Any member may vote, only reviewers' votes count,
    and not on what they said that they sell, nor from an account that is younger than a rush of votes there.

    The same vote sent again, with none cast in between, is the one that is there.
    Errors: OwnSubmission for the claim's author and the owners of photos in its submission, unless they name an
    example of theirs added since; ConflictDeclared where a linked account has voted; AlreadyClosed when the claim
    has ended, BaseRevisionStale when it entered or left the record since `base_revision`; IdentityMoved when its
    variant is gone; SecondStepNeeded of a reviewer; InvalidField.
    """
    vote, release = considered(
        member=active(by), at=at, verdict=verdict, basis=basis, claim=claim, statement=statement,
        state_seen=state_seen, example=example, note=note, base_revision=base_revision,
    )  # fmt: skip
    return kept_together([vote], release, at)[0]


@journalled
def cast_votes(*, by: Member, at: datetime, opinions: Iterable[Mapping[str, Any]]) -> list[Vote]:
    """Votes of one member on one release, each as cast_vote takes it: all are kept or none, and the release is settled
    once, after the last of them. Errors: those of cast_vote; InvalidField where there is none, or another release.
    """
    member = active(by)
    votes, releases = [], set()
    for opinion in opinions:
        vote, release = considered(member=member, at=at, **opinion)
        votes.append(vote)
        releases.add(release)
    if len(releases) != 1:
        raise InvalidField("opinions", len(releases), Sentence("Vote on details of one release at a time."))
    return kept_together(votes, releases.pop(), at)


def considered(
    *,
    member: Member,
    at: datetime,
    verdict: str,
    basis: str,
    claim: Claim | None = None,
    statement: Statement | None = None,
    state_seen: State | None = None,
    example: Example | None = None,
    note: str = "",
    base_revision: int | None = None,
) -> tuple[Vote, Release]:
    """A vote that may be cast but is not yet, and its release, locked. Errors: those of cast_vote."""
    refuse_by_one_step(member)
    looked_at = wording.whole_if_given("base_revision", base_revision, 1, 1_000_000)
    _, release = votable(claim, statement, looked_at)
    if claim is not None:
        refuse_own(claim, release, member, example)
        refuse_linked(member, claim)
    elif statement is not None and statement.author_id == member.pk:
        raise OwnSubmission
    vote = Vote(
        by=member,
        claim=claim,
        statement=statement,
        verdict=wording.choice("verdict", verdict, Verdict),
        basis=wording.choice("basis", basis, Basis),
        state_seen=state_seen,
        example=example,
        note=wording.line("note", note, 300, required=False),
        base_revision=looked_at,
        counts=may_count(member, claim, release, at),
        by_moderator=Role.MODERATOR in member.roles,
        at=at,
    )
    check_example(vote, release)
    check_state_seen(vote)
    return vote, release


def kept_together(votes: list[Vote], release: Release, at: datetime) -> list[Vote]:
    """One member's votes on a release, settled once. Sent again, with none cast in between, they are those there."""
    latest = list(Vote.objects.filter(by=votes[0].by).order_by("-pk")[: len(votes)])[::-1]
    if [said_by(vote) for vote in latest if vote.is_current] == [said_by(vote) for vote in votes]:
        return latest
    for vote in votes:
        keep(vote)
    settle_release(release=release, at=at)
    return votes


def keep(vote: Vote) -> None:
    """In place of the member's vote before."""
    same = Vote.objects.current().filter(by=vote.by, claim=vote.claim, statement=vote.statement)
    same.update(is_current=False, ended_at=vote.at)
    vote.save()
    subject = vote.claim or vote.statement
    JournalEntry.objects.record(
        by=vote.by, verb="vote.cast", about=subject, at=vote.at, detail=detail_of(vote)
    )
    if vote.claim is not None:
        watch_for_surge(vote.claim, vote.at)


def said_by(vote: Vote) -> tuple[object, ...]:
    """What a vote says, and of what."""
    return tuple(getattr(vote, column) for column in VOTE_COLUMNS)


@journalled
def withdraw_vote(
    *, by: Member, at: datetime, claim: Claim | None = None, statement: Statement | None = None
) -> None:
    """Take one's vote back; the standing is as if it had not been cast. Errors: NotFound when there is none."""
    member = active(by)
    subject, release = votable(claim, statement)
    ended = Vote.objects.current().filter(by=member, claim=claim, statement=statement)
    if not ended.update(is_current=False, ended_at=at):
        raise NotFound(Sentence("You have no vote there to take back."))
    key = "claim" if claim is not None else "statement"
    JournalEntry.objects.record(
        by=member, verb="vote.withdrawn", about=subject, at=at, detail={key: subject.public_id}
    )
    settle_release(release=release, at=at)


def votable(
    claim: Claim | None, statement: Statement | None, looked_at: int | None = None
) -> tuple[Claim | Statement, Release]:
    """The thing voted on, with its release locked. Errors: AlreadyClosed, BaseRevisionStale, IdentityMoved."""
    if (claim is None) == (statement is None):
        raise InvalidField("claim", None, Sentence("Vote on exactly one claim or statement."))
    subject: Claim | Statement = claim if claim is not None else statement  # type: ignore[assignment]
    release = locked(claim.variant.release if claim is not None else statement.release)  # type: ignore[union-attr]
    if claim is not None and looked_at is not None:
        refuse_stale(claim, looked_at)
    subject.refresh_from_db(fields=["closed_at"])
    if claim is not None:
        refuse_gone(claim)
    if subject.closed_at:
        raise AlreadyClosed(
            Sentence("This has been decided or replaced since. Reload the page to see what stands now.")
        )
    return subject, release


def refuse_stale(claim: Claim, looked_at: int) -> None:
    """Who looked at an older revision may still vote on what that revision held and the newest one holds."""
    row = Claim.objects.select_related("variant").only(
        "closed_at", "since_revision", "variant__revision_number"
    )
    now = row.get(pk=claim.pk)
    newest = now.variant.revision_number
    if looked_at > newest:
        raise InvalidField(
            "base_revision", looked_at, Sentence("The newest revision is %(newest)s.", newest=newest)
        )
    if (now.closed_at and looked_at < newest) or (now.since_revision or 0) > looked_at:
        raise BaseRevisionStale(field="base_revision")


def refuse_own(claim: Claim, release: Release, member: Member, example: Example | None) -> None:
    if member.public_id not in barred(claim, release):
        return
    if example is None or example.owner_id != member.pk or not is_later_example(example, claim):
        raise OwnSubmission


def barred(claim: Claim, release: Release) -> frozenset[str]:
    """Public ids of those who may not vote on the claim."""
    dispute = getattr(claim, "rival_in", None)
    claims = [claim, dispute.claim] if dispute else [claim]
    return barred_from(claims, [dispute] if dispute else [], photos_of(release))[claim.pk]


def is_later_example(example: Example, claim: Claim) -> bool:
    """Pictured for all to see since the claim was opened, and never before nor by the claim's own report or dispute."""
    shown = PhotoExample.objects.filter(example=example)
    published = shown.filter(is_published("photo__"), photo__taken_down_at=None)
    dispute = getattr(claim, "rival_in", None)
    told = shown.filter(photo__submission=claim.submission_id, photo__submission__isnull=False)
    disputed = shown.filter(photo__dispute=dispute) if dispute else shown.none()
    before = shown.filter(photo__added_at__lte=claim.opened_at)
    return published.exists() and not (before.exists() or told.exists() or disputed.exists())


def check_example(vote: Vote, release: Release) -> None:
    example = vote.example
    if example is None:
        return
    if example.release_id != release.pk:
        raise InvalidField(
            "example", example.public_id, Sentence("Name an example of %(release)s.", release=release)
        )
    if vote.basis == Basis.PHOTO:
        return
    if example.owner_id != vote.by_id:
        raise InvalidField(
            "example", example.public_id, Sentence("Name an example of your own, or vote on the photos only.")
        )
    if (vote.basis == Basis.OWN_SEALED) != (example.condition == Condition.SEALED):
        raise InvalidField(
            "basis",
            vote.basis,
            Sentence(
                "Your example is noted as %(condition)s. Choose the other basis.",
                condition=in_english(Condition(example.condition).label),
            ),
        )


def check_state_seen(vote: Vote) -> None:
    state = vote.state_seen
    if state is None:
        return
    if vote.verdict != Verdict.CONTRADICTS:
        raise InvalidField(
            "state_seen", state.name, Sentence("Name the state seen only when you contradict.")
        )
    if vote.claim is None or state.trait.survivor != vote.claim.trait.survivor:
        raise InvalidField("state_seen", state.name, Sentence("Choose a state of the detail you vote on."))
    if state.survivor == vote.claim.state.survivor:
        raise InvalidField(
            "state_seen",
            state.name,
            Sentence("That is the state you contradict. Choose what you see instead."),
        )


def detail_of(vote: Vote) -> dict[str, object]:
    subject = vote.claim or vote.statement
    assert subject is not None
    return {
        "claim" if vote.claim else "statement": subject.public_id,
        "verdict": vote.verdict,
        "basis": vote.basis,
        "example": vote.example.public_id if vote.example else None,
        "state_seen": vote.state_seen.public_id if vote.state_seen else None,
        "counts": vote.counts,
        "moderator": vote.by_moderator,
    }
