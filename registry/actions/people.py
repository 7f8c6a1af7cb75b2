"""Accounts, roles, declared links and access tokens."""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Sequence
from datetime import datetime, timedelta

from django.conf import settings

from registry.errors import InvalidField, NotFound, WrongMoment
from registry.models import JournalEntry, Member, MemberLink, Role, RoleGrant, Token
from registry.queries.facts import current_policy
from registry.queries.reviewers import linked_to, miscounted_releases, releases_of
from registry.sentences import Sentence

from . import wording
from .admission import active, lock_members, require, require_second
from .journalled import journalled
from .settle import settle_release
from .sign_out import sign_out_everywhere

TOKEN_PREFIX = "clt_"  # noqa: S105 (the prefix that secret scanners know ours by, no secret)


@journalled
def join(*, member: Member, at: datetime) -> None:
    """Note that a new account was opened. The e-mail address stays out of the journal."""
    JournalEntry.objects.record(by=member, verb="member.joined", about=member, at=at)


@journalled
def grant_role(
    *, member: Member, role: str, by: Member | None, at: datetime, seconded_by: Member | None = None
) -> RoleGrant:
    """Give a member a role. `by` is a moderator, or None for the first one, named on the server's command line.

    Where there are two moderators it takes both: see actions.two_persons, which asks and confirms.
    Errors: RoleRequired, SecondPersonNeeded, WrongMoment when the member already holds it.
    """
    chosen = wording.choice("role", role, Role)
    # So that two moderators cannot give the same role in the same moment, nor wait for each other.
    lock_members(by, member, seconded_by)
    if by is not None:
        require(by, Role.MODERATOR)
        require_second(by, seconded_by, at)
    active(member)
    if RoleGrant.objects.filter(member=member, role=chosen, revoked_at=None).exists():
        raise WrongMoment(
            Sentence("%(member)s already is a %(role)s.", member=member, role=chosen.label), field="role"
        )
    sign_out_everywhere(member)
    grant = RoleGrant.objects.create(member=member, role=chosen, granted_by=by, granted_at=at)
    member.__dict__.pop("roles", None)
    JournalEntry.objects.record(
        by=by,
        verb="role.granted",
        about=member,
        at=at,
        detail={"member": member.public_id, "role": chosen}
        | ({"seconded_by": seconded_by.public_id} if seconded_by else {}),
    )
    judge_founding(at)
    return grant


@journalled
def revoke_role(*, member: Member, role: str, by: Member, at: datetime, reason: str) -> None:
    """Take a role away. Votes already cast keep counting as they did. Errors: RoleRequired, NotFound, InvalidField."""
    lock_members(by, member)
    require(by, Role.MODERATOR)
    chosen, why = wording.choice("role", role, Role), wording.line("reason", reason, 300)
    if not RoleGrant.objects.filter(member=member, role=chosen, revoked_at=None).update(revoked_at=at):
        raise NotFound(Sentence("%(member)s is no %(role)s.", member=member, role=chosen.label), field="role")
    member.__dict__.pop("roles", None)
    sign_out_everywhere(member)
    detail = {"member": member.public_id, "role": chosen, "reason": why}
    JournalEntry.objects.record(by=by, verb="role.revoked", about=member, at=at, detail=detail)
    judge_founding(at)


def judge_founding(at: datetime) -> None:
    """Settle anew the few releases whose founding mode may begin or end with one reviewer more or less."""
    for release in miscounted_releases(below=current_policy().founding_below):
        settle_release(release=release, at=at)


@journalled
def suspend(*, member: Member, by: Member, at: datetime, reason: str) -> None:
    """Close an account to everything but reading. What it contributed stays as it is."""
    set_active(member, by, at, reason, is_active=False, verb="member.suspended")


@journalled
def reinstate(*, member: Member, by: Member, at: datetime, reason: str) -> None:
    set_active(member, by, at, reason, is_active=True, verb="member.reinstated")


def set_active(member: Member, by: Member, at: datetime, reason: str, is_active: bool, verb: str) -> None:
    lock_members(by, member)
    require(by, Role.MODERATOR)
    reason = wording.line("reason", reason, 300)
    rows = Member.objects.filter(pk=member.pk, is_active=not is_active, erased_at=None)
    if not rows.update(is_active=is_active):
        if Member.objects.filter(pk=member.pk, erased_at__isnull=False).exists():
            raise WrongMoment(Sentence("This member's account was erased at their wish."), field="member")
        known = (
            Sentence("%(member)s already is active. Nothing needs to be done.", member=member)
            if is_active
            else Sentence("%(member)s already is suspended. Nothing needs to be done.", member=member)
        )
        raise WrongMoment(known, field="member")
    sign_out_everywhere(member)
    JournalEntry.objects.record(
        by=by, verb=verb, about=member, at=at, detail={"member": member.public_id, "reason": reason}
    )
    judge_founding(at)


@journalled
def declare_link(*, first: Member, second: Member, by: Member, at: datetime) -> MemberLink:
    """Note that two accounts have declared that they belong together, so that they count once.

    A moderator keeps it, once both have said so: else anybody could void another's evidence by claiming a link.
    """
    require(by, Role.MODERATOR)
    if first.pk == second.pk:
        raise InvalidField("second", second.display_name, Sentence("Name another member."))
    low, high = sorted((first, second), key=lambda one: one.pk)
    link, is_new = MemberLink.objects.get_or_create(
        first=low, second=high, defaults={"declared_by": by, "declared_at": at}
    )
    if is_new:
        JournalEntry.objects.record(
            by=by, verb="link.declared", about=first, at=at, detail={"a": low.public_id, "b": high.public_id}
        )
        for release in releases_of(linked_to(low)):
            settle_release(release=release, at=at)
    return link


@journalled
def create_token(
    *, by: Member, name: str, scopes: Sequence[str], at: datetime, days: int = 90
) -> tuple[Token, str]:
    """A token and its secret. The secret is given back this once and kept nowhere; only its digest is stored."""
    member = active(by)
    days = wording.whole("days", days, 1, settings.CASTLORE_TOKEN_MAX_DAYS)
    chosen = wording.several("scopes", scopes, Token.Scope)
    if not chosen:
        raise InvalidField(
            "scopes",
            scopes,
            Sentence("Choose at least one of: %(ones)s.", ones=", ".join(Token.Scope.values)),
        )
    secret = TOKEN_PREFIX + secrets.token_urlsafe(32)
    token = Token.objects.create(
        member=member,
        name=wording.line("name", name, 60),
        digest=token_digest(secret),
        hint=secret[:8],
        scopes=chosen,
        created_at=at,
        expires_at=at + timedelta(days=days),
    )
    JournalEntry.objects.record(
        by=member, verb="token.created", about=token, at=at, detail={"scopes": chosen}
    )
    return token, secret


def token_digest(secret: str) -> str:
    """SHA-256 in hex: the secret has 256 random bits, so no slow password hash is needed."""
    return hashlib.sha256(secret.encode()).hexdigest()


@journalled
def revoke_token(*, token: Token, by: Member, at: datetime) -> None:
    """End an own token at once. Errors: NotFound for another member's."""
    active(by)
    if token.member_id != by.pk:
        raise NotFound
    Token.objects.filter(pk=token.pk, revoked_at=None).update(revoked_at=at)
    JournalEntry.objects.record(by=by, verb="token.revoked", about=token, at=at)
