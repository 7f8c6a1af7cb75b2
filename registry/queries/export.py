"""All that is kept of one member and by one member, for them to take along."""

from __future__ import annotations

from typing import Any

from allauth.account.models import EmailAddress
from allauth.mfa.models import Authenticator
from allauth.usersessions.models import UserSession
from django.db.models import Count, F, Q, QuerySet

from registry.models import (
    CabinetItem,
    Chart,
    Claim,
    CodeSeen,
    Concern,
    ControlAnswer,
    Dispute,
    Example,
    GlossReading,
    HeldDispute,
    Hunt,
    Interest,
    JournalEntry,
    Mark,
    Measurement,
    Member,
    MemberLink,
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

from .journal import details_as_read


def own_data(member: Member) -> dict[str, Any]:
    """As JSON holds it, lists oldest first, things named by public ids. Queries: 29.

    No secret of a token is in it, nor which answers to controls were right.
    """
    return {
        "format": "own-data/1",
        "account": {
            "id": member.public_id,
            "email": member.email,
            "display_name": member.display_name,
            "joined_at": member.joined_at,
            "last_login": member.last_login,
        },
        "addresses": rows(EmailAddress.objects.filter(user=member), "email", "verified", "primary"),
        "signing_in": {
            "steps": rows(Authenticator.objects.filter(user=member), "type", "created_at", "last_used_at"),
            "sessions": rows(
                UserSession.objects.filter(user=member), "ip", "user_agent", "created_at", "last_seen_at"
            ),
        },
        "roles": rows(RoleGrant.objects.filter(member=member), "role", "granted_at", "revoked_at"),
        "links": links_of(member),
        "tokens": rows(
            Token.objects.filter(member=member),
            "name", "hint", "scopes", "created_at", "expires_at", "last_used_at", "revoked_at",
        ),
        "reports": rows(
            Submission.objects.filter(author=member),
            "status", "content", "question", "created_at", "changed_at", "opened_at", "sent_at",
            id="public_id", release="release__public_id", variant="variant__public_id",
        ),
        "claims": rows(
            Claim.objects.filter(author=member),
            "is_difference", "opened_at", "closed_at",
            id="public_id", variant="variant__public_id", trait="trait__public_id", state="state__public_id",
        ),
        "examples": rows(
            Example.objects.filter(Q(owner=member) | Q(added_by=member)),
            "condition", "found_case", "found_shop", "found_month", "country", "region", "added_at",
            id="public_id", release="release__public_id",
        ),
        "photos": rows(
            Photo.objects.filter(owner=member),
            "views", "caption", "digest", "licence", "captured_on", "is_edited", "added_at", "taken_down_at",
            id="public_id",
        ),
        "marks": rows(
            Mark.objects.filter(by=member),
            "x", "y", "w", "h", "note", "at", "removed_at",
            id="public_id", photo="photo__public_id", claim="claim__public_id", example="example__public_id",
        ),
        "remarks": rows(
            Remark.objects.filter(by=member),
            "x", "y", "w", "h", "sentence", "at", "removed_at",
            id="public_id", photo="photo__public_id", state="state__public_id",
        ),
        "measurements": rows(
            Measurement.objects.filter(by=member),
            "known_by", "known_um", "known_x1", "known_y1", "known_x2", "known_y2", "x1", "y1", "x2", "y2",
            "pointing_px", "is_slanted", "same_plane", "distance_mm", "length_um", "error_um", "caveats", "at",
            "removed_at",
            id="public_id", photo="photo__public_id", claim="claim__public_id", trait="trait__public_id",
            example="example__public_id",
        ),
        "gloss_readings": rows(
            GlossReading.objects.filter(by=member),
            "geometry", "tenths", "instrument", "at", "removed_at",
            id="public_id", claim="claim__public_id", trait="trait__public_id", example="example__public_id",
        ),
        "charts": rows(
            Chart.objects.filter(by=member), "kind", "corners", "residual", "worst", "at", photo="photo__public_id"
        ),
        "sightings": rows(
            Sighting.objects.filter(by=member),
            "scope", "is_full_count", "seen_on", "country", "region", "source", "note", "added_at", "withdrawn_at",
            id="public_id", release="release__public_id",
        ),
        "statements": rows(
            Statement.objects.filter(author=member),
            "kind", "on", "source_kind", "source", "added_at", "closed_at",
            id="public_id", variant="variant__public_id", other="other__public_id",
        ),
        "votes": rows(
            Vote.objects.filter(by=member),
            "verdict", "basis", "note", "base_revision", "counts", "at", "is_current", "ended_at",
            claim="claim__public_id", statement="statement__public_id", state_seen="state_seen__public_id",
            example="example__public_id",
        ),
        "codes_seen": rows(CodeSeen.objects.filter(by=member), "at", photo="photo__public_id"),
        "disputes": rows(
            Dispute.objects.filter(opened_by=member),
            "reason", "opened_at", "outcome", "closed_at",
            id="public_id", claim="claim__public_id", statement="statement__public_id",
        ),
        "held_disputes": rows(
            HeldDispute.objects.filter(opened_by=member),
            "reason", "held_at", "outcome", "decline_reason",
            id="public_id", claim="claim__public_id", statement="statement__public_id",
            released_as="released_as__public_id",
        ),
        "interests": rows(
            Interest.objects.filter(member=member),
            "declared_at", "ended_at",
            id="public_id", maker="maker__public_id", line="line__public_id", casting="casting__public_id",
            release="release__public_id",
        ),
        "control_answers": rows(
            ControlAnswer.objects.filter(member=member), "verdict", "basis", "at", claim="claim__public_id"
        ),
        "concerns": concerns_about(member),
        "watches": rows(
            Watch.objects.filter(member=member),
            "by_mail",
            id="public_id", casting="casting__public_id", assortment="assortment__public_id", line="line__public_id",
        ),
        "cabinet": rows(
            CabinetItem.objects.filter(member=member),
            "condition", "count", "to_swap", "wear", "note", "added_at", "changed_at",
            id="public_id", release="release__public_id", variant="variant__public_id",
            pack_version="pack_version__public_id", example="example__public_id",
        ),
        "hunt": hunt_of(member),
        "journal": journal_of(member),
    }  # fmt: skip


def rows(found: QuerySet[Any], *columns: str, **named: str) -> list[dict[str, Any]]:
    """Some columns under their own names, others under the names given. Queries: 1."""
    own = {name: column for name, column in named.items() if name not in columns}
    # A column under another name may be called as one of the model's own: values() would refuse it.
    read = found.order_by("pk").values(*columns, **{f"as_{name}": F(column) for name, column in own.items()})
    return [{name.removeprefix("as_"): value for name, value in row.items()} for row in read]


def links_of(member: Member) -> list[dict[str, Any]]:
    """Accounts declared to belong together with this one. Queries: 1."""
    found = MemberLink.objects.filter(Q(first=member) | Q(second=member)).select_related("first", "second")
    return [
        {
            "with": (link.second if link.first_id == member.pk else link.first).public_id,
            "at": link.declared_at,
        }
        for link in found.order_by("pk")
    ]


def hunt_of(member: Member) -> list[dict[str, Any]]:
    """How deep they collect, in one row; none where they never said. Queries: 3."""
    return [
        {
            "depth": hunt.depth,
            "with_errors": hunt.with_errors,
            "with_samples": hunt.with_samples,
            "lines": sorted(line.public_id for line in hunt.lines.all()),
            "traits": sorted(trait.public_id for trait in hunt.traits.all()),
            "changed_at": hunt.changed_at,
        }
        for hunt in Hunt.objects.filter(member=member).prefetch_related("lines", "traits")
    ]


def concerns_about(member: Member) -> list[dict[str, Any]]:
    """How many patterns the member was part of, by kind and by what was found: no word of others. Queries: 1."""
    found = Concern.objects.filter(members=member).values("kind", "outcome").order_by("kind", "outcome")
    return [dict(row) for row in found.annotate(count=Count("pk"))]


def journal_of(member: Member) -> list[dict[str, Any]]:
    """Lines by them and about their account. Queries: 2."""
    theirs = Q(by=member) | Q(about_kind="member", about_id=member.public_id)
    lines = list(JournalEntry.objects.filter(theirs).order_by("number"))
    said = details_as_read(lines)
    return [
        {
            "number": line.number,
            "verb": line.verb,
            "about": {"kind": line.about_kind, "id": line.about_id},
            "at": line.at,
            "detail": said[line.number],
        }
        for line in lines
    ]
